import { useMemo } from 'react'
import type { Chart } from '../../chart/folds/chart.ts'
import { chartedRuns, type PastRun } from '../../chart/folds/charted-runs.ts'
import { type Calibration, calibrate } from '../../clinical/aerosol/index.ts'
import { useChart, usePastTold } from '../local/hooks.ts'

/** What was learned last for each cup, with the runs that it was learned from: learning again takes a moment. */
const LEARNED = new Map<string, { readonly key: string; readonly calibration: Calibration }>()

/**
 * What the runs that ended before an instant say about a model of cup, those of the chart and others as they were told;
 * nothing where there is none.
 */
export function calibrationFor(
  chart: Chart,
  told: readonly PastRun[],
  cupId: string,
  before: string,
): Calibration | undefined {
  const { runs, key } = chartedRuns(chart.visits(), cupId, before, told)
  if (runs.length === 0) return undefined
  const last = LEARNED.get(cupId)
  if (last?.key === key) return last.calibration
  const calibration = calibrate(runs)
  LEARNED.set(cupId, { key, calibration })
  return calibration
}

/** The same for all runs that are known of by now. */
export function useCalibration(now: string): (cupId: string) => Calibration | undefined {
  const chart = useChart()
  const { runs } = usePastTold()
  const { revision } = chart
  // biome-ignore lint/correctness/useExhaustiveDependencies: the chart stays the same object; its revision tells of change
  return useMemo(() => {
    const known = new Map<string, Calibration | undefined>()
    return (cupId: string) => {
      if (!known.has(cupId)) known.set(cupId, calibrationFor(chart, runs, cupId, now))
      return known.get(cupId)
    }
  }, [chart, revision, runs, now])
}
