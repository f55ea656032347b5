import { useNavigate } from '@tanstack/react-router'
import { isOver, type VisitState } from '../../../chart/folds/visit.ts'
import { useChart, useMe, useNewId, useRecord } from '../../local/hooks.ts'

/** Which dose of which order; `doseAt` null for an as-needed one. */
export type Opening = {
  readonly orderId: string
  readonly patientId: string
  readonly doseAt: string | null
  readonly visit: VisitState | null
}

/**
 * Goes into a visit: begins it, or takes up the one that is open. Taking up somebody else's says so on the record and
 * on the screen; a visit that is over is only read.
 */
export function useOpenVisit(): (opening: Opening) => Promise<void> {
  const chart = useChart()
  const me = useMe()
  const newId = useNewId()
  const record = useRecord()
  const navigate = useNavigate()
  return async ({ orderId, patientId, doseAt, visit }) => {
    const unfinished =
      visit ??
      chart
        .visitsOf(orderId)
        .findLast(
          (each) => each.doseAt === doseAt && !isOver(each) && each.opened.by.personId === me.personId,
        ) ??
      null
    if (unfinished === null) {
      const visitId = newId()
      await record('visit-opened', { patientId, orderId, visitId }, { doseAt })
      await navigate({ to: '/visit/$visitId', params: { visitId } })
      return
    }
    const { visitId } = unfinished
    const last = unfinished.hands.at(-1)
    if (!isOver(unfinished) && last && last.personId !== me.personId) {
      await record(
        'visit-taken-up',
        { patientId, orderId, visitId },
        { fromPersonId: last.personId, fromDevice: last.device, why: '' },
      )
    }
    await navigate({ to: '/visit/$visitId', params: { visitId } })
  }
}
