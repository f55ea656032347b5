import { useMemo } from 'react'
import { DOCUMENTS } from '../../../chart/documents/documents.ts'
import { type DocumentsInForce, documentsInForce } from '../../../chart/documents/documents-in-force.ts'
import { standing } from '../../../chart/folds/standing.ts'
import { useWorld } from '../../local/app-world.tsx'
import { useChart, useNow, useSite } from '../../local/hooks.ts'
import { wallOf } from '../../parts/clock-text.ts'

/** The department's documents as they are in force now, each with the adoption that put it there. */
export function useDocumentsInForce(): DocumentsInForce {
  const chart = useChart()
  const { nowMs } = useWorld()
  const minute = useNow(60_000).slice(0, 16)
  const { revision } = chart
  // biome-ignore lint/correctness/useExhaustiveDependencies: the chart stays the same object; its revision and the minute tell of change
  return useMemo(() => {
    const facts = Object.keys(DOCUMENTS).flatMap((name) => chart.factsAbout('document', name))
    return documentsInForce(standing(facts), new Date(nowMs()).toISOString())
  }, [chart, revision, nowMs, minute])
}

/** Writes an instant with its day, on the hospital's clocks: `2026-11-25 14:05`. */
export function useDayAndTime(): (at: string) => string {
  const { timeZone } = useSite()
  return (at) => {
    const { date, time } = wallOf(at, timeZone)
    return `${date} ${time}`
  }
}
