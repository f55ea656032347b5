/** What is known of a number that a person enters, so that the keypad can ask before it takes an odd one. */
export type NumberRule = {
  readonly name: string
  /** As shown: `/min`, `%`, `L/min`. */
  readonly unit: string
  /** How many digits may stand after the point. */
  readonly decimals: number
  /** Both ends included. Outside it cannot be a number of this kind, and is never taken. */
  readonly possible: Ends
  /** Both ends included. Outside it is asked about, and taken if the person stands by it. */
  readonly plausible: Ends
  readonly normal?: Ends
  readonly last?: { readonly value: number; readonly when: string }
}
type Ends = { readonly low: number; readonly high: number }

/** What there is to say about an entry. */
export type Verdict =
  | { readonly kind: 'empty' }
  | { readonly kind: 'impossible'; readonly what: string }
  | { readonly kind: 'odd'; readonly value: number; readonly question: string }
  | { readonly kind: 'usual'; readonly value: number }

/**
 * The text of an entry after somebody typed or pasted: a comma counts as the point, leading zeros go. Gives null
 * when the text cannot become a number under the rule (letters, two points, too many decimals), so that the
 * keypad keeps what it had.
 */
export function entryText(raw: string, rule: Pick<NumberRule, 'decimals'>): string | null {
  const text = raw.trim().replace(',', '.')
  const form = rule.decimals > 0 ? new RegExp(`^\\d*(\\.\\d{0,${rule.decimals}})?$`) : /^\d*$/
  if (!form.test(text) || text.length > 9) return null
  const trimmed = text.replace(/^0+(?=\d)/, '')
  return trimmed.startsWith('.') ? `0${trimmed}` : trimmed
}

/** What an entry amounts to under its rule. */
export function verdict(text: string, rule: NumberRule): Verdict {
  const cleaned = entryText(text, rule)
  if (cleaned === null) return { kind: 'impossible', what: `${rule.name} must be a number.` }
  if (cleaned === '') return { kind: 'empty' }
  const value = Number(cleaned)
  const { possible, plausible } = rule
  if (!within(value, possible)) {
    return {
      kind: 'impossible',
      what: `${rule.name} can be ${withUnit(`${possible.low} to ${possible.high}`, rule.unit)}. ${cleaned} is not taken.`,
    }
  }
  if (!within(value, plausible)) {
    return {
      kind: 'odd',
      value,
      question: `${rule.name} ${withUnit(String(value), rule.unit)}: outside ${plausible.low} to ${plausible.high}. Is that what you read?`,
    }
  }
  return { kind: 'usual', value }
}

/** A figure and its unit as they stand in running text: a space between, save before a slash. */
export function withUnit(figure: string, unit: string): string {
  if (unit === '') return figure
  return unit.startsWith('/') ? `${figure}${unit}` : `${figure} ${unit}`
}

/** Normal range and last value in words, where there are any. */
export function standards({ normal, last, unit }: NumberRule): string[] {
  return [
    ...(normal ? [`normal ${normal.low} to ${normal.high}`] : []),
    ...(last ? [`last ${withUnit(String(last.value), unit)}, ${last.when}`] : []),
  ]
}

function within(value: number, ends: Ends): boolean {
  return value >= ends.low && value <= ends.high
}
