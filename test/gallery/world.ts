import type { Me } from '../../src/api/schemas.ts'
import type { Api } from '../../src/app/local/api.ts'
import type { AppWorld } from '../../src/app/local/app-world.tsx'
import { newId } from '../../src/app/local/device.ts'
import { Keep } from '../../src/app/local/keep.ts'
import { removeKeep } from '../../src/app/local/keep-database.ts'
import { LocalStore } from '../../src/app/local/local-store.ts'
import { Safe } from '../../src/app/local/safe.ts'
import type { Session, SessionState } from '../../src/app/local/session.ts'
import { type AnyFact, type Writer, writeFact } from '../../src/chart/registry.ts'

const me: Me = {
  personId: 'person-1',
  name: 'R. Amsel',
  role: 'therapist',
  facility: 'gallery',
  pinSet: true,
  locked: false,
  lockAfterMinutes: 5,
  serverNow: new Date().toISOString(),
  signedInAt: new Date().toISOString(),
}

/** A server that is never there. */
const nobody: Api = {
  get: async () => ({ kind: 'unreachable', why: 'the gallery has no server' }),
  post: async () => ({ kind: 'unreachable', why: 'the gallery has no server' }),
}

/** An app in which somebody is signed in, with one treatment running for three minutes of about ten. */
export async function galleryWorld(): Promise<AppWorld> {
  const safe = await Safe.ofThisPage()
  await removeKeep('gallery', me.personId)
  const store = await LocalStore.open(new Keep('gallery', me.personId, safe), nobody, 'gallery')
  await store.record(runningTreatment())
  let state: SessionState = { kind: 'in', me, store, locked: false, offerPin: false }
  const listeners = new Set<() => void>()
  const set = (locked: boolean) => {
    state = { kind: 'in', me, store, locked, offerPin: false }
    for (const listener of listeners) listener()
  }
  const session = {
    state: () => state,
    subscribe: (listener: () => void) => {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    lock: () => set(true),
    unlockByPin: async (pin: string) => {
      if (pin !== '402817') return { ok: false, what: 'That is not your PIN.', todo: 'Try again.' }
      set(false)
      return { ok: true }
    },
    settleDoor: async () => {},
  } as unknown as Session
  return { api: nobody, session, nowMs: Date.now }
}

function runningTreatment(): AnyFact[] {
  const nowMs = () => Date.now() - 190_000
  const by = { personId: me.personId, role: me.role }
  const writer: Writer = { facility: 'gallery', by, device: 'gallery', newId, nowMs }
  const about = { patientId: 'patient-1', orderId: 'order-1', visitId: 'visit-1' }
  const figure = { low: 9, likely: 10, high: 12, unit: 'min' }
  return [
    writeFact(writer, 'visit-opened', about, { doseAt: null }),
    writeFact(writer, 'set-up-chosen', about, {
      cupId: 'cup-1',
      interface: 'mouthpiece',
      gas: 'air',
      flowLPerMin: 6,
      reservoirMl: 50,
      position: 'sitting up',
      cannulaStaysOn: true,
      forecast: {
        runMinutes: figure,
        leavesCupMg: null,
        reachesLungMg: null,
        inspiredOxygenPercent: { ...figure, unit: '%' },
        runsHere: 0,
      },
      againstAdvice: [],
    }),
    writeFact(writer, 'treatment-started', about, { alongside: [] }),
  ]
}
