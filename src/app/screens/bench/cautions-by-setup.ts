/** A caution and the letters of the set-ups that it holds for; null where it holds for all that have a forecast. */
export type SharedCaution = { readonly caution: string; readonly letters: readonly string[] | null }

/** Every caution once, in the order in which the set-ups bring them up. */
export function cautionsBySetup(
  setups: readonly { readonly letter: string; readonly cautions: readonly string[] }[],
): readonly SharedCaution[] {
  const all = [...new Set(setups.flatMap(({ cautions }) => cautions))]
  return all.map((caution) => {
    const letters = setups.filter(({ cautions }) => cautions.includes(caution)).map(({ letter }) => letter)
    return { caution, letters: letters.length === setups.length ? null : letters }
  })
}
