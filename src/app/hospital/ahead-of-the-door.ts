import { createContext, useCallback, useContext, useEffect, useState } from 'react'
import { aheadOfTheDoor } from '../../chart/bedside/at-the-door.ts'
import type { BedsideFinding } from '../../chart/bedside/finding.ts'
import { MEDICINE_CODES } from '../../chart/documents/medicine-codes.ts'
import { useChart, useDocument, useFormularyWhenAsked, useLaterRevision } from '../local/hooks.ts'
import { useDueDoseAt } from './use-due-doses.ts'

type Ask = (orderId: string, doseAt: string | null) => readonly BedsideFinding[]
/** Each row in a task of its own, so that none of them is long. */
const AFTER_DRAWING_MS = 50
const NONE: readonly BedsideFinding[] = []

/** Who can be asked what stands against a dose; nobody outside of a screen that offers it. */
export const AheadOfTheDoor = createContext<Ask | null>(null)

/** Asks by the chart and the documents in force, for a dose at its time, or now where that is past. */
export function useAheadOfTheDoor(now: string): Ask {
  const chart = useChart()
  const formulary = useFormularyWhenAsked()
  const codes = useDocument(MEDICINE_CODES)
  const dueDoseAt = useDueDoseAt()
  const revision = useLaterRevision()
  // biome-ignore lint/correctness/useExhaustiveDependencies: the chart stays the same object; its revision tells of change
  return useCallback<Ask>(
    (orderId, doseAt) => {
      const order = chart.order(orderId)
      const at = doseAt !== null && doseAt > now ? doseAt : now
      const dose = doseAt === null ? null : dueDoseAt(orderId, doseAt)
      return order === null ? NONE : aheadOfTheDoor(chart, order, { formulary: formulary(), codes }, at, dose)
    },
    [chart, revision, formulary, codes, now, dueDoseAt],
  )
}

/** What stands against one dose, told once the screen has been drawn: a round must not wait for its cautions. */
export function useCautionsOf(orderId: string, doseAt: string | null): readonly BedsideFinding[] {
  const ask = useContext(AheadOfTheDoor)
  const [found, setFound] = useState(NONE)
  useEffect(() => {
    const later = setTimeout(() => setFound(ask?.(orderId, doseAt) ?? NONE), AFTER_DRAWING_MS)
    return () => clearTimeout(later)
  }, [ask, orderId, doseAt])
  return found
}
