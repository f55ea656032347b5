import { BadInput, type Worked } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import { type Exact, equals, exact, figure, over, positive, times } from './exact.ts'
import { figured } from './figured.ts'

/** Every way in which the strength of a solution is written. */
export type Strength =
  | { readonly as: 'mg/mL'; readonly mgPerMl: number }
  /** Weight in volume: grams in 100 mL. */
  | { readonly as: 'percent'; readonly percent: number }
  /** 1:n, one gram in n mL. */
  | { readonly as: 'ratio'; readonly oneGramInMl: number }
  | { readonly as: 'unit dose'; readonly amountMg: number; readonly volumeMl: number }
  /** A powder made up to a final volume. */
  | { readonly as: 'reconstituted'; readonly amountMg: number; readonly finalMl: number }
  | { readonly as: 'molar'; readonly mmolPerL: number; readonly gramsPerMol: number }

/** A strength as an exact figure in mg/mL, with the words that led there. */
export type KnownStrength = { readonly mgPerMl: Exact; readonly step: string; readonly shown: string }

const TEN = exact(10)
const THOUSAND = exact(1000)

/**
 * Milligrams in each milliliter, whatever way the strength is written.
 * @throws BadInput for a figure that is zero, negative, infinite or not a number
 */
export function strengthMgPerMl(strength: Strength): Worked<'mg/mL'> {
  const { mgPerMl, step } = knownStrength(strength)
  return figured(mgPerMl, 'mg/mL', [step], sourcesOf(strength))
}

/**
 * A strength as percent weight in volume (grams in 100 mL).
 * @throws BadInput as `strengthMgPerMl`
 */
export function strengthPercent(strength: Strength): Worked<'%'> {
  const { mgPerMl, step } = knownStrength(strength)
  const percent = over(mgPerMl, TEN)
  const steps = [step, `${figure(mgPerMl)} mg/mL ÷ 10 ${equals(percent)} g per 100 mL`]
  return figured(percent, '%', steps, [...sourcesOf(strength), SOURCES['percent-definition']])
}

/** The exact figure behind `strengthMgPerMl`, for sums that go on with it. */
export function knownStrength(strength: Strength): KnownStrength {
  const { mgPerMl, reading } = readings(strength)
  const step = reading === null ? `strength ${equals(mgPerMl)} mg/mL` : `${reading} ${equals(mgPerMl)} mg/mL`
  return { mgPerMl, step, shown: `${figure(mgPerMl)} mg/mL` }
}

function readings(strength: Strength): { mgPerMl: Exact; reading: string | null } {
  switch (strength.as) {
    case 'mg/mL':
      return { mgPerMl: positive('strength', strength.mgPerMl, 'mg/mL'), reading: null }
    case 'percent':
      return percentReading(strength.percent)
    case 'ratio': {
      const volume = positive('ratio', strength.oneGramInMl, 'mL')
      return { mgPerMl: over(THOUSAND, volume), reading: `1 g in ${figure(volume)} mL` }
    }
    case 'unit dose':
      return inVolume(strength.amountMg, strength.volumeMl)
    case 'reconstituted':
      return inVolume(strength.amountMg, strength.finalMl)
    case 'molar':
      return molarReading(strength.mmolPerL, strength.gramsPerMol)
  }
}

/**
 * Percent weight in volume as an exact figure.
 * @throws BadInput for anything but a number above zero and up to 100
 */
export function positivePercent(field: string, given: number): Exact {
  const percent = positive(field, given, '%')
  if (given > 100) throw new BadInput(field, given, 'at most 100 (grams in 100 mL)')
  return percent
}

function percentReading(given: number) {
  const percent = positivePercent('percent', given)
  return { mgPerMl: times(percent, TEN), reading: `${figure(percent)} g per 100 mL` }
}

function inVolume(amountMg: number, volumeMl: number) {
  const amount = positive('amount', amountMg, 'mg')
  const volume = positive('volume', volumeMl, 'mL')
  return { mgPerMl: over(amount, volume), reading: `${figure(amount)} mg in ${figure(volume)} mL` }
}

function molarReading(mmolPerL: number, gramsPerMol: number) {
  const molarity = positive('molarity', mmolPerL, 'mmol/L')
  const mass = positive('molar mass', gramsPerMol, 'g/mol')
  // mmol/L × g/mol = mg/L
  return {
    mgPerMl: over(times(molarity, mass), THOUSAND),
    reading: `${figure(molarity)} mmol/L × ${figure(mass)} g/mol ÷ 1000`,
  }
}

function sourcesOf(strength: Strength) {
  if (strength.as === 'percent') return [SOURCES['percent-definition']]
  if (strength.as === 'ratio') return [SOURCES.FDA_RATIO]
  return [SOURCES.definition]
}
