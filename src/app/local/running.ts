import type { Chart } from '../../chart/folds/chart.ts'
import { runElapsedMs, runPhase } from '../../chart/folds/run.ts'

/** A treatment that runs or is paused, without anything that says whose it is. */
export type RunningTreatment = {
  readonly visitId: string
  readonly personId: string
  readonly startedAt: string
  readonly elapsedMs: number
  /** How long it is likely to take [ms]; null where no forecast was made. */
  readonly ofMs: number | null
  readonly paused: boolean
}

/** Treatments under way at `now`, the first begun first. */
export function runningTreatments(chart: Chart, now: string): RunningTreatment[] {
  return chart
    .visits()
    .flatMap(({ visitId, run, hands, opened, setUp }) => {
      const phase = runPhase(run)
      if (run.startedAt === null || (phase !== 'running' && phase !== 'paused')) return []
      const likely = setUp?.body.forecast?.runMinutes.likely
      return {
        visitId,
        personId: hands.at(-1)?.personId ?? opened.by.personId,
        startedAt: run.startedAt,
        elapsedMs: runElapsedMs(run, now),
        ofMs: likely === undefined ? null : likely * 60_000,
        paused: phase === 'paused',
      }
    })
    .sort((a, b) => (a.startedAt < b.startedAt ? -1 : 1))
}
