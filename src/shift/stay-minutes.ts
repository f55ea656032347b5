import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import { estimate } from './estimate.ts'
import { handsOnPrior, type LearnedTimes, priorOf } from './learned-times.ts'
import { medicinesKey } from './past-stay.ts'
import type { ExpectedRun } from './set-up-forecast.ts'

/** Why a run is reckoned to last so long. */
export type RunGrounds =
  | {
      readonly kind: 'forecast'
      readonly forecastMinutes: number
      /** Charted over forecast runs of this cup here. */
      readonly factor: number
      readonly visits: number
    }
  | { readonly kind: 'charted'; readonly visits: number; readonly whyNot: string | null }
  | { readonly kind: 'usual'; readonly whyNot: string | null }

/** How long a stay at the bedside takes, and what that is made of. */
export type StayMinutes = {
  /** Whole minutes, as planned. */
  readonly total: number
  readonly handsOn: number
  /** Charted visits behind `handsOn`; 0 when only the policy's minutes stand behind it. */
  readonly handsOnVisits: number
  readonly runs: readonly { readonly minutes: number; readonly grounds: RunGrounds }[]
}

/** Minutes of one run: the forecast put right by this department's runs of that cup, else its runs of that medicine. */
export function runMinutes(
  expected: Pick<ExpectedRun, 'choice' | 'cup' | 'runMinutes' | 'whyNot'>,
  learned: LearnedTimes,
  documents: DocumentsInForce['documents'],
): StayMinutes['runs'][number] {
  const { choice, cup, whyNot } = expected
  if (expected.runMinutes !== null) {
    const factor = learned.runFactor[choice.cupId]
    const grounds: RunGrounds = {
      kind: 'forecast',
      forecastMinutes: expected.runMinutes,
      factor: factor?.value ?? 1,
      visits: factor?.visits ?? 0,
    }
    return { minutes: expected.runMinutes * grounds.factor, grounds }
  }
  const own = cup ? learned.run[medicinesKey(cup.portions)] : undefined
  if (own) return { minutes: own.value, grounds: { kind: 'charted', visits: own.visits, whyNot } }
  const usual = documents['planning-policy'].content.times.runMinutesWhenUnknown
  return { minutes: usual, grounds: { kind: 'usual', whyNot } }
}

/**
 * Minutes of a whole stay under an isolation category with these runs, one after the other: putting on, measuring,
 * preparing, the run, measuring, taking off and charting. Each further cup is prepared and charted too.
 */
export function stayMinutes(
  category: string,
  runs: StayMinutes['runs'],
  learned: LearnedTimes,
  documents: DocumentsInForce['documents'],
): StayMinutes {
  const policy = documents['planning-policy'].content
  const { value, visits } =
    learned.handsOn[category] ?? estimate([], priorOf(handsOnPrior(category, policy), policy))
  const further =
    Math.max(0, runs.length - 1) * (policy.times.preparingMinutes + policy.times.chartingMinutes)
  const handsOn = value + further
  const total = Math.max(1, Math.round(handsOn + runs.reduce((sum, { minutes }) => sum + minutes, 0)))
  return { total, handsOn, handsOnVisits: visits, runs }
}
