import { type ChartedRun, gasOf } from '../../clinical/aerosol/index.ts'
import { runElapsedMs } from './run.ts'
import type { VisitState } from './visit.ts'

/** What is learned from at most: the newest so many, since cups and lots change. A design rule. */
const NEWEST = 300
/** A driving gas from a compressor has about half the humidity of the room (PHIPPS_1990); other gas is dry. */
export const COMPRESSOR_HUMIDITY = 0.5
/** Room and air pressure are not charted: the usual ones. */
export const USUAL_ROOM = { roomCel: 22, pressurePa: 101_325 } as const

/** Runs of one model of cup in this hospital, oldest first, and how many could not be learned from. */
export type RunsOfCup = {
  readonly runs: readonly ChartedRun[]
  /** Charted, and yet not used: a helium mixture, or figures outside what the learning covers. */
  readonly setAside: number
  /** Changes whenever a run is added or corrected: to know whether what was learned is stale. */
  readonly key: string
}

/**
 * Runs that ended before `before`, for a model of cup. A run that was finished sputtered; one that was stopped would
 * have lasted longer. What was left counts where it was measured.
 */
export function chartedRuns(visits: Iterable<VisitState>, cupId: string, before: string): RunsOfCup {
  const ended = [...visits].flatMap((visit) => {
    const at = visit.run.endedAt
    return visit.setUp?.body.cupId === cupId && at !== null && at < before ? [{ visit, at }] : []
  })
  ended.sort((a, b) => (a.at < b.at ? -1 : 1))
  const newest = ended.slice(-NEWEST)
  const runs = newest.flatMap(({ visit }) => runOf(visit) ?? [])
  return {
    runs,
    setAside: newest.length - runs.length,
    key: newest.map(({ visit }) => `${visit.ended?.factId} ${visit.setUp?.factId}`).join(),
  }
}

/** The run of a visit as it can be learned from; null when it lies outside what the learning covers. */
function runOf({ setUp, prepared, ended, run }: VisitState): ChartedRun | null {
  if (!setUp || !prepared || !ended) return null
  const { gas, flowLPerMin, supply } = setUp.body
  const fillMl = prepared.body.totalMl
  const minutes = runElapsedMs(run, ended.at) / 60_000
  const { leftMl } = ended.body
  const usable =
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
      relativeHumidity: supply?.from === 'compressor' ? COMPRESSOR_HUMIDITY : 0,
    },
    ended: ended.body.how === 'finished' ? 'sputter' : 'stopped',
    minutes,
    leftG: leftMl ?? undefined,
  }
}

/** Shorter than this no fill of 1 mL runs: the timer was pressed by mistake. A design rule. */
const LEAST_MIN = 0.5

function within(value: number, low: number, high: number): boolean {
  return value >= low && value <= high
}
