/** The key with its value; nothing where there is none. */
export function said<Key extends string, Value>(key: Key, value: Value | null): { [K in Key]?: Value } {
  return (value === null ? {} : { [key]: value }) as { [K in Key]?: Value }
}
