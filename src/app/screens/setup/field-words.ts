/** Endings of field names that stand for a unit, longest first. */
const UNITS: readonly (readonly [string, string])[] = [
  ['LPerMin', 'L/min'],
  ['PerPsi', 'per psi'],
  ['Percent', '%'],
  ['Minutes', 'min'],
  ['Hours', 'h'],
  ['Psi', 'psi'],
  ['Ml', 'mL'],
  ['Mg', 'mg'],
]

/** A field's name in words, with its unit behind: `maximumFillMl` is "Maximum fill (mL)". */
export function fieldWords(field: string): string {
  const unit = UNITS.find(([ending]) => field.endsWith(ending) && field !== ending)
  const rest = unit ? field.slice(0, -unit[0].length) : field
  const words = rest.replace(/(?<=[a-z0-9])[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`)
  const named = words.charAt(0).toUpperCase() + words.slice(1)
  return unit ? `${named} (${unit[1]})` : named
}
