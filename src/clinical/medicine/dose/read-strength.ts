import { BadInput } from '../../worked.ts'
import { type AmountUnit, decimalProblems, inUnit, unitSpelled } from './amount.ts'
import { exact, times, toNumber } from './exact.ts'
import type { Strength } from './strength.ts'

const NUMBER = '([\\d.,]+)'
/** Grams in 100 mL, whether or not the label says so (w/v); what says w/w or v/v is refused. */
const PERCENT = new RegExp(`^${NUMBER}\\s*(?:%|percent)(?:\\s*(?:w/v|\\(w/v\\)))?$`, 'i')
const RATIO = new RegExp(`^${NUMBER}\\s*(?::|in)\\s*${NUMBER}$`)
const PER_VOLUME = new RegExp(`^${NUMBER}\\s*(\\p{L}+)\\s*(?:/|per|in)\\s*${NUMBER}?\\s*(\\p{L}+)$`, 'u')
const MASSES: readonly (AmountUnit | null)[] = ['g', 'mg', 'mcg']

/** Milliliters in the volumes that a strength may be written over, beside those that `unitSpelled` knows. */
const ML_IN: ReadonlyMap<string, number> = new Map([
  ['l', 1000],
  ['liter', 1000],
  ['litre', 1000],
  ['dl', 100],
  ['deciliter', 100],
  ['decilitre', 100],
])

const ALLOWED = 'a strength such as 0.5 %, 1:1000, 5 mg/mL, 20 mcg/mL, 5 g/L or 2.5 mg/3 mL'

/**
 * Reads a strength as it is printed: percent, ratio, or mass in a volume.
 * @throws BadInput when it can be read in two ways or not at all; the text is never repaired
 */
export function readStrength(text: string): Strength {
  const trimmed = text.trim()
  const percent = PERCENT.exec(trimmed)
  if (percent) return { as: 'percent', percent: readNumber(text, percent[1]) }
  const ratio = RATIO.exec(trimmed)
  if (ratio) return readRatio(text, ratio[1], ratio[2])
  const perVolume = PER_VOLUME.exec(trimmed)
  if (perVolume) return readPerVolume(text, perVolume)
  throw new BadInput('strength', text, ALLOWED)
}

function readRatio(text: string, one: string | undefined, volume: string | undefined): Strength {
  if (readNumber(text, one) !== 1) throw new BadInput('strength', text, '1:n, that is 1 g in n mL')
  return { as: 'ratio', oneGramInMl: readNumber(text, volume) }
}

function readPerVolume(
  text: string,
  [, amount, massUnit = '', volume, volumeUnit = '']: RegExpExecArray,
): Strength {
  const unit = unitSpelled(massUnit)
  const unitMl = unitSpelled(volumeUnit) === 'mL' ? 1 : ML_IN.get(volumeUnit.toLowerCase())
  if (unit === null || !MASSES.includes(unit) || unitMl === undefined) {
    throw new BadInput('strength', text, ALLOWED)
  }
  const amountMg = toNumber(inUnit('strength', { value: readNumber(text, amount), unit }, 'mg'))
  if (volume === undefined && unitMl === 1) return { as: 'mg/mL', mgPerMl: amountMg }
  const units = volume === undefined ? 1 : readNumber(text, volume)
  if (units === 0) throw new BadInput('strength', text, 'an amount in a volume above zero')
  return { as: 'unit dose', amountMg, volumeMl: toNumber(times(exact(units), exact(unitMl))) }
}

function readNumber(text: string, digits: string | undefined): number {
  const problems = decimalProblems(digits ?? '')
  if (problems.length > 0) throw new BadInput('strength', text, `${ALLOWED}; here ${problems.join(', and ')}`)
  return Number(digits)
}
