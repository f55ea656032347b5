import { BadInput } from '../../worked.ts'
import { type Exact, exact, over, positive, times } from './exact.ts'

/**
 * Units in which an amount of drug is written. Those of one family may be turned into each other; across families
 * never: activity units, mg of a salt and mg of base activity are different numbers for the same vial.
 */
const UNITS = {
  g: { family: 'mass', inBase: 1000 },
  mg: { family: 'mass', inBase: 1 },
  mcg: { family: 'mass', inBase: 0.001 },
  IU: { family: 'activity', inBase: 0.000001 },
  'million IU': { family: 'activity', inBase: 1 },
  'mg colistimethate sodium': { family: 'colistimethate sodium', inBase: 1 },
  'mg colistin base activity': { family: 'colistin base activity', inBase: 1 },
  mL: { family: 'volume', inBase: 1 },
  vial: { family: 'vials', inBase: 1 },
  breath: { family: 'breaths', inBase: 1 },
} as const

export type AmountUnit = keyof typeof UNITS
export const AMOUNT_UNITS = Object.keys(UNITS) as readonly AmountUnit[]
export type Amount = { readonly value: number; readonly unit: AmountUnit }

/** Other spellings of the same unit, as orders carry them. Only spellings that can mean one thing. */
const SPELLINGS: ReadonlyMap<string, AmountUnit> = new Map(
  Object.entries<AmountUnit>({
    milligram: 'mg',
    milligrams: 'mg',
    ug: 'mcg',
    µg: 'mcg',
    μg: 'mcg',
    microgram: 'mcg',
    micrograms: 'mcg',
    gram: 'g',
    grams: 'g',
    ml: 'mL',
    milliliter: 'mL',
    milliliters: 'mL',
    millilitre: 'mL',
    millilitres: 'mL',
    cc: 'mL',
    iu: 'IU',
    '[iu]': 'IU',
    'million iu': 'million IU',
    '10*6.[iu]': 'million IU',
    vials: 'vial',
    '{vial}': 'vial',
    breaths: 'breath',
    '{breath}': 'breath',
  }),
)

/** The unit that a spelling stands for, or null: an unknown unit is asked about, never guessed. */
export function unitSpelled(text: string): AmountUnit | null {
  const plain = text.trim().toLowerCase()
  return SPELLINGS.get(plain) ?? AMOUNT_UNITS.find((unit) => unit.toLowerCase() === plain) ?? null
}

/** True when two units differ by a factor only. */
export function sameFamily(a: AmountUnit, b: AmountUnit): boolean {
  return UNITS[a].family === UNITS[b].family
}

/**
 * An amount in another unit of its family, exactly.
 * @throws BadInput when the units are of different families or the figure cannot be used
 */
export function inUnit(field: string, amount: Amount, unit: AmountUnit): Exact {
  if (!sameFamily(amount.unit, unit)) {
    throw new BadInput(
      field,
      `${amount.value} ${amount.unit}`,
      `an amount in ${unit}; ${amount.unit} and ${unit} are never turned into each other here`,
    )
  }
  const value = positive(field, amount.value, amount.unit)
  return over(times(value, exact(UNITS[amount.unit].inBase)), exact(UNITS[unit].inBase))
}

/**
 * Reads an amount written in words, such as `2.5 mg`, `500 mcg` or `1 million IU`.
 * @throws BadInput when the unit is missing or unknown, when the decimal mark could be read two ways, or when
 * there is no zero before the point
 */
export function readAmount(text: string): Amount {
  const match = /^([\d.,]+)\s*(.*)$/.exec(text.trim())
  if (!match) throw new BadInput('dose', text, 'a number and its unit, for example 2.5 mg')
  const [, digits = '', unitText = ''] = match
  const problems = [...decimalProblems(digits), ...unitProblems(unitText)]
  const unit = unitSpelled(unitText)
  if (problems.length > 0 || unit === null) {
    throw new BadInput(
      'dose',
      text,
      `a number and its unit, for example 2.5 mg; here ${problems.join(', and ')}`,
    )
  }
  return { value: Number(digits), unit }
}

/** An amount as it is read out: `2.5 mg`, `1 vial`, `6 vials`. */
export function amountText({ value, unit }: Amount): string {
  const { family } = UNITS[unit]
  const counted = family === 'vials' || family === 'breaths'
  return `${value} ${counted && value !== 1 ? family : unit}`
}

/** What keeps the digits of a dose or a strength from being read one way only. */
export function decimalProblems(digits: string): string[] {
  if (digits.includes(',')) return ['the comma could be a decimal mark or a thousands mark']
  if (digits.startsWith('.')) return ['there is no zero before the decimal point']
  return /^\d+(\.\d+)?$/.test(digits) ? [] : ['the number cannot be read']
}

function unitProblems(unitText: string): string[] {
  if (unitText === '') return ['the unit is missing']
  return unitSpelled(unitText) === null ? [`the unit ${unitText} is not known`] : []
}
