import { useCallback } from 'react'
import { STANDARD_TIMES } from '../../chart/documents/standard-times.ts'
import { WINDOWS } from '../../chart/documents/windows.ts'
import { dueDoseAt, dueDoses } from '../../chart/folds/doses.ts'
import type { DueDose } from '../../chart/timing/doses-due.ts'
import { useChart, useDocument, useSite } from '../local/hooks.ts'

/** The dose of one order at that very instant, by the documents in force; null when none falls due then. */
export function useDueDoseAt(): (orderId: string, doseAt: string) => DueDose | null {
  const chart = useChart()
  const standardTimes = useDocument(STANDARD_TIMES)
  const windows = useDocument(WINDOWS)
  const { timeZone } = useSite()
  return useCallback(
    (orderId, doseAt) => dueDoseAt(chart, orderId, { standardTimes, windows, timeZone }, doseAt),
    [chart, standardTimes, windows, timeZone],
  )
}

/** What falls due between two instants by the documents in force, from what this tablet knows. */
export function useDueDoses(): (from: string, to: string) => readonly DueDose[] {
  const chart = useChart()
  const standardTimes = useDocument(STANDARD_TIMES)
  const windows = useDocument(WINDOWS)
  const { timeZone } = useSite()
  return useCallback(
    (from, to) => dueDoses(chart, { standardTimes, windows, timeZone }, from, to),
    [chart, standardTimes, windows, timeZone],
  )
}
