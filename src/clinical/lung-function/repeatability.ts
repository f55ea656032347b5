import { BadInput, requireWithin, type Source } from '../worked.ts'
import rules from './data/interpretation.json' with { type: 'json' }
import { READING_RANGE } from './meter-scale.ts'
import { LUNG_SOURCES } from './sources.ts'

/** How far the blows of one session agree, and what to do next. */
export type Repeatability = {
  readonly best: number
  /** Largest less second largest; null after a single blow. */
  readonly difference: number | null
  readonly allowed: number
  /** Null after a single blow. */
  readonly repeatable: boolean | null
  readonly askForMore: boolean
  readonly whatToDo: string
  /** The blows in falling order, what the two best differ by, and what is allowed. */
  readonly steps: readonly string[]
  readonly cautions: readonly string[]
  readonly sources: readonly Source[]
}

/**
 * Peak flow of one session [L/min]: at least three blows, the highest counts, the two highest within 40 L/min, at
 * most two blows more to get there.
 * @throws BadInput without a blow, or for one that is not a whole number of L/min between 1 and 1000
 */
export function peakFlowRepeatability(blowsLPerMin: readonly number[]): Repeatability {
  requireBlows('blows', blowsLPerMin, READING_RANGE.high, 'L/min')
  const { blows, withinLPerMin, extraBlows } = rules.peakFlowRepeatability
  const falling = blowsLPerMin.length >= blows && blowsLPerMin.every(lowerThanBefore)
  return {
    ...judge(blowsLPerMin, withinLPerMin, blows, blows + extraBlows, 'L/min'),
    cautions: falling ? [FALLING] : [],
    sources: [
      LUNG_SOURCES.PEF_BEST_OF_THREE,
      LUNG_SOURCES.MILLER_2005,
      ...(falling ? [LUNG_SOURCES.FALLING_SERIES] : []),
    ],
  }
}

const FALLING =
  'Each blow was lower than the one before: the effort itself may be narrowing the airways. Look at the patient before another blow.'

function lowerThanBefore(blow: number, at: number, all: readonly number[]): boolean {
  return blow < (all[at - 1] ?? Number.POSITIVE_INFINITY)
}

/**
 * FEV1 or FVC of one session [mL]: at least three blows; the two largest within 150 mL from the 7th birthday on, and
 * within 100 mL or 10 % of the largest, whichever is more, before it; at most eight blows.
 * @throws BadInput without a blow, or for one that is not a whole number of mL between 1 and 12 000; OutsideValidity
 * for an age below 3 or above 120
 */
export function spirometryRepeatability(blowsMl: readonly number[], ageYears: number): Repeatability {
  requireWithin('ageYears', ageYears, { low: 3, high: 120, unit: 'a' })
  requireBlows('blows', blowsMl, 12_000, 'mL')
  const { blows, mostBlows, over6Years, to6Years } = rules.spirometryRepeatability
  const small = Math.max(
    to6Years.withinMl,
    Math.floor((Math.max(...blowsMl) * to6Years.orPercentOfLargest) / 100),
  )
  // The standard says "over 6 years" and "6 years or less": a child is 6 until the 7th birthday.
  const allowed = Math.floor(ageYears) > 6 ? over6Years.withinMl : small
  const judged = judge(blowsMl, allowed, blows, mostBlows, 'mL')
  const rule =
    Math.floor(ageYears) > 6
      ? `age ${ageYears}, from the 7th birthday on: ${allowed} mL allowed`
      : `age ${ageYears}, before the 7th birthday: ${to6Years.withinMl} mL or ${to6Years.orPercentOfLargest} % of ${judged.best} mL, whichever is more: ${allowed} mL allowed`
  return {
    ...judged,
    steps: [rule, ...judged.steps],
    cautions: [],
    sources: [LUNG_SOURCES.GRAHAM_2019],
  }
}

function requireBlows(field: string, blows: readonly number[], most: number, unit: string): void {
  if (blows.length === 0) throw new BadInput(field, 'none', 'at least one blow')
  for (const blow of blows) {
    const usable = Number.isInteger(blow) && blow >= 1 && blow <= most
    if (!usable) throw new BadInput(field, blow, `whole numbers of ${unit}, 1 to ${most}`)
  }
}

function judge(
  blows: readonly number[],
  allowed: number,
  fewest: number,
  most: number,
  unit: string,
): Omit<Repeatability, 'cautions' | 'sources'> {
  const [best = 0, second] = [...blows].sort((a, b) => b - a)
  const difference = second === undefined ? null : best - second
  const repeatable = difference === null ? null : difference <= allowed
  const enough = blows.length >= fewest && repeatable === true
  const askForMore = !enough && blows.length < most
  return {
    best,
    difference,
    allowed,
    repeatable,
    askForMore,
    steps: [
      difference === null
        ? `one blow of ${best} ${unit}; ${allowed} ${unit} between the two best are allowed, so a second is needed`
        : `${best} − ${second} = ${difference} ${unit}; ${allowed} ${unit} allowed; ${blows.length} blows of at least ${fewest}, at most ${most}`,
    ],
    whatToDo: whatToDo(blows.length, { enough, askForMore, fewest, best, difference, allowed, unit }),
  }
}

type Judged = {
  readonly enough: boolean
  readonly askForMore: boolean
  readonly fewest: number
  readonly best: number
  readonly difference: number | null
  readonly allowed: number
  readonly unit: string
}

function whatToDo(count: number, judged: Judged): string {
  const { enough, askForMore, fewest, best, difference, allowed, unit } = judged
  if (enough) return `Record ${best} ${unit}, the best of ${count}.`
  if (count < fewest)
    return `${count} of ${fewest} blows done: ask for another if the patient is well enough.`
  const apart = `The two best are ${difference} ${unit} apart (${allowed} allowed)`
  return askForMore
    ? `${apart}: ask for another if the patient is well enough.`
    : `${apart} after ${count} blows: record ${best} ${unit} as not repeatable, and no more blows.`
}
