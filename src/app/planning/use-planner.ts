import { useCallback, useSyncExternalStore } from 'react'
import { mayWrite } from '../../chart/permissions.ts'
import { writeFact } from '../../chart/registry.ts'
import { useSessionState, useWorld } from '../local/app-world.tsx'
import { useMe, useRecordAll, useWaiting, useWriter } from '../local/hooks.ts'
import type { LocalStore } from '../local/local-store.ts'
import type { Issue } from './messages.ts'
import { type Planned, PlannerClient } from './planner-client.ts'

/** One planner for each record that is open, begun when a screen first asks for it. */
const clients = new WeakMap<LocalStore, PlannerClient>()

/** The planner of the record that is open. Only behind the sign-in. */
export function usePlanner(): PlannerClient {
  const state = useSessionState()
  const { nowMs } = useWorld()
  if (state.kind !== 'in') throw new Error('used by a screen outside the sign-in')
  const known = clients.get(state.store)
  if (known) return known
  const client = new PlannerClient(state.store, nowMs)
  clients.set(state.store, client)
  return client
}

/** What the planner last said, renewed as it says more. */
export function usePlanned(): Planned {
  const planner = usePlanner()
  return useSyncExternalStore(planner.subscribe, planner.planned)
}

/** Why no plan can be given out from here now; null when one can. */
export function useWhyNoIssue(): string | null {
  const me = useMe()
  const { lacking } = useWaiting()
  if (!mayWrite(me.role, 'plan-issued')) return 'Therapists and the lead give plans out.'
  if (lacking === 0) return null
  return 'Not everybody whom the shift concerns is on this tablet yet, and a plan given out now would leave them out. It can be given out once they are here.'
}

/** Puts a plan on the record, with the pins that a person set for it: all of it or nothing. */
export function useIssue(): (issue: Issue) => Promise<void> {
  const writer = useWriter()
  const recordAll = useRecordAll()
  return useCallback(
    ({ shiftId, plan, pins, unpins }) =>
      recordAll([
        ...unpins.map(({ patientId, body }) =>
          writeFact(writer, 'visit-unpinned', { shiftId, patientId }, body),
        ),
        ...pins.map(({ patientId, body }) => writeFact(writer, 'visit-pinned', { shiftId, patientId }, body)),
        writeFact(writer, 'plan-issued', { shiftId }, plan),
      ]),
    [writer, recordAll],
  )
}
