import { BadInput, type Worked } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import {
  above,
  type Exact,
  equals,
  exact,
  figure,
  minus,
  nearestSteps,
  over,
  positive,
  times,
} from './exact.ts'
import { figured } from './figured.ts'
import { knownStrength, type Strength } from './strength.ts'

/** The syringe in the hand: what one mark is worth, and what it holds. */
export type Syringe = { readonly graduationMl: number; readonly capacityMl?: number }

/** A volume as it can really be drawn, with what that does to the dose. */
export type Measurable = {
  readonly exact: Worked<'mL'>
  readonly measured: Worked<'mL'>
  readonly measuredDose: Worked<'mg'>
  /** Measured less ordered, in percent of the ordered dose; negative when less drug is drawn. */
  readonly doseError: Worked<'%'>
  /** True when the error passes the limit: a finer syringe or another strength is needed. */
  readonly tooCoarse: boolean
}

/** Beyond this share the program says that the syringe is too coarse; common practice, no source. */
export const DOSE_ERROR_LIMIT_PERCENT = 5

/**
 * A dose drawn with a syringe that has marks: the nearest mark (the lower of two that are equally near), the dose
 * there, and its error.
 * @throws BadInput when a figure cannot be used, when the volume is under half a mark (it cannot be drawn), or
 * when it is more than the syringe holds
 */
export function measuredVolume(
  doseMg: number,
  strength: Strength,
  syringe: Syringe,
  limitPercent = DOSE_ERROR_LIMIT_PERCENT,
): Measurable {
  const dose = positive('dose', doseMg, 'mg')
  const known = knownStrength(strength)
  const mark = positive('graduation', syringe.graduationMl, 'mL')
  const limit = positive('error limit', limitPercent, '%')
  const wanted = over(dose, known.mgPerMl)
  const drawn = times(nearestSteps(wanted, mark), mark)
  refuseUnmeasurable(wanted, drawn, mark, syringe)

  const got = times(drawn, known.mgPerMl)
  const error = over(times(minus(got, dose), exact(100)), dose)
  const tooCoarse = above(error, limit) || above(negative(limit), error)
  const draw = `${figure(dose)} mg ÷ ${known.shown} ${equals(wanted)} mL`
  const nearest = `nearest mark of ${figure(mark)} mL: ${figure(drawn)} mL`
  const holds = `${figure(drawn)} mL × ${known.shown} ${equals(got)} mg`
  const off = `(${figure(got)} mg − ${figure(dose)} mg) ÷ ${figure(dose)} mg ${equals(error)} %`
  const caution = tooCoarse
    ? `the dose would be ${figure(error)} % off, more than ${figure(limit)} %: take a finer syringe or another strength`
    : undefined
  return {
    exact: figured(wanted, 'mL', [draw], [SOURCES.definition]),
    measured: figured(drawn, 'mL', [draw, nearest], [SOURCES.definition], caution),
    measuredDose: figured(got, 'mg', [draw, nearest, holds], [SOURCES.definition], caution),
    doseError: figured(error, '%', [draw, nearest, holds, off], [SOURCES['syringe-limit']], caution),
    tooCoarse,
  }
}

/**
 * @throws BadInput for a volume under half a mark, or more than the syringe holds
 */
export function refuseUnmeasurable(wanted: Exact, drawn: Exact, mark: Exact, { capacityMl }: Syringe): void {
  if (drawn.top === 0n) {
    throw new BadInput(
      'volume to draw',
      `${figure(wanted)} mL`,
      `more than half a mark of ${figure(mark)} mL; use a finer syringe or dilute the drug first`,
    )
  }
  if (capacityMl === undefined) return
  const capacity = positive('capacity of the syringe', capacityMl, 'mL')
  if (above(drawn, capacity)) {
    throw new BadInput(
      'volume to draw',
      `${figure(drawn)} mL`,
      `at most the ${figure(capacity)} mL that the syringe holds`,
    )
  }
}

const negative = (a: Exact): Exact => ({ top: -a.top, bottom: a.bottom })
