/** Class names joined; whatever is false, null or empty is left out. */
export function classes(...names: readonly (string | false | null | undefined)[]): string {
  return names.filter(Boolean).join(' ')
}
