import { type ChartedRun, gasOf } from '../../clinical/aerosol/index.ts'
import type { BodyOf } from '../registry.ts'
import { joinPast, newestPast } from './past-rows.ts'
import { runElapsedMs } from './run.ts'
import type { VisitState } from './visit.ts'

/** What is learned from at most: the newest so many, since cups and lots change. A design rule. */
export const NEWEST_RUNS = 300
/** A driving gas from a compressor has about half the humidity of the room (PHIPPS_1990); other gas is dry. */
export const COMPRESSOR_HUMIDITY = 0.5
/** Room and air pressure are not charted: the usual ones. */
export const USUAL_ROOM = { roomCel: 22, pressurePa: 101_325 } as const

type SetUp = BodyOf<'set-up-chosen'>

/** The run of a past visit as it was charted, and nothing of whom it was given to. */
export type PastRun = {
  readonly visitId: string
  readonly cupId: string
  readonly endedAt: string
  /** Without its pauses. */
  readonly runMs: number
  readonly how: BodyOf<'treatment-ended'>['how']
  readonly leftMl: number | null
  /** Null where nothing was charted as prepared. */
  readonly fillMl: number | null
  readonly gas: SetUp['gas']
  readonly flowLPerMin: number
  readonly fromCompressor: boolean
}

/** Runs of one model of cup in this hospital, oldest first, and how many could not be learned from. */
export type RunsOfCup = {
  readonly runs: readonly ChartedRun[]
  /** Charted, and yet not used: a helium mixture, or figures outside what the learning covers. */
  readonly setAside: number
  /** Changes whenever a run is added or corrected: to know whether what was learned is stale. */
  readonly key: string
}

/** The run of a visit; null while it has not ended. */
export function pastRun({ visitId, setUp, prepared, ended, run }: VisitState): PastRun | null {
  if (!setUp || !ended || run.endedAt === null) return null
  const { cupId, gas, flowLPerMin, supply } = setUp.body
  const { how, leftMl } = ended.body
  return {
    visitId,
    cupId,
    endedAt: run.endedAt,
    runMs: runElapsedMs(run, run.endedAt),
    how,
    leftMl,
    fillMl: prepared?.body.totalMl ?? null,
    gas,
    flowLPerMin,
    fromCompressor: supply?.from === 'compressor',
  }
}

/**
 * Runs that ended before `before`, for a model of cup: of these visits, and of others as they were told. A run that was
 * finished sputtered; one that was stopped would have lasted longer. What was left counts where it was measured.
 */
export function chartedRuns(
  visits: Iterable<VisitState>,
  cupId: string,
  before: string,
  told: readonly PastRun[] = [],
): RunsOfCup {
  const here = [...visits]
  const held = new Set(here.map(({ visitId }) => visitId))
  const rows = joinPast(
    told,
    here.flatMap((visit) => pastRun(visit) ?? []),
    held,
  ).filter((row) => row.cupId === cupId && row.endedAt < before)
  const newest = newestPast(rows, NEWEST_RUNS, ({ endedAt }) => endedAt)
  const runs = newest.flatMap((row) => runOf(row) ?? [])
  return { runs, setAside: newest.length - runs.length, key: JSON.stringify(newest) }
}

/** A run as it can be learned from; null when it lies outside what the learning covers. */
function runOf({ fillMl, gas, flowLPerMin, runMs, leftMl, how, fromCompressor }: PastRun): ChartedRun | null {
  const minutes = runMs / 60_000
  const usable =
    fillMl !== null &&
    gas !== 'heliox' &&
    within(fillMl, 1, 20) &&
    within(flowLPerMin, 4, 12) &&
    within(minutes, LEAST_MIN, 180) &&
    (leftMl === null || leftMl <= fillMl)
  if (!usable) return null
  return {
    conditions: {
      ...USUAL_ROOM,
      fillMl,
      gas: gasOf(gas),
      flowLPerMin,
      relativeHumidity: fromCompressor ? COMPRESSOR_HUMIDITY : 0,
    },
    ended: how === 'finished' ? 'sputter' : 'stopped',
    minutes,
    leftG: leftMl ?? undefined,
  }
}

/** Shorter than this no fill of 1 mL runs: the timer was pressed by mistake. A design rule. */
const LEAST_MIN = 0.5

function within(value: number, low: number, high: number): boolean {
  return value >= low && value <= high
}
