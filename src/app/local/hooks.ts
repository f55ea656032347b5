import { useCallback, useDeferredValue, useEffect, useMemo, useState, useSyncExternalStore } from 'react'
import type { z } from 'zod'
import type { Me } from '../../api/schemas.ts'
import type { DocumentKind } from '../../chart/documents/document-kind.ts'
import { FORMULARY_KIND } from '../../chart/documents/formulary.ts'
import { SITE, type Site } from '../../chart/documents/site.ts'
import type { Chart } from '../../chart/folds/chart.ts'
import { type AnyFact, type BodyOf, type KindName, type Writer, writeFact } from '../../chart/registry.ts'
import { type Formulary, formularyOf } from '../../clinical/medicine/index.ts'
import { once } from '../../clinical/once.ts'
import type { Reply } from './api.ts'
import { useSessionState, useWorld } from './app-world.tsx'
import { deviceId, newId } from './device.ts'
import { documentInForce } from './document-in-force.ts'
import type { PastVisitsTold } from './learned-keeper.ts'
import type { LocalStore, Sending } from './local-store.ts'

/** What screens ask of the app. All but the clock may be used only behind the sign-in. */

function useIn(): { readonly me: Me; readonly store: LocalStore } {
  const state = useSessionState()
  if (state.kind !== 'in') throw new Error('used by a screen outside the sign-in')
  return state
}

/** Who is signed in. */
export function useMe(): Me {
  return useIn().me
}

/**
 * The chart as this tablet knows it. The component renders again whenever a fact is added; the object stays the
 * same and keeps what it has folded, so ask it in the render, and name `chart.revision` where a memo needs it.
 */
export function useChart(): Chart {
  const { store } = useIn()
  useSyncExternalStore(store.subscribe, store.revision)
  return store.chart
}

/**
 * The chart's revision, told a moment later, once what answers a touch has been drawn: for a memo that takes its time and
 * may do so a little at a time.
 */
export function useLaterRevision(): number {
  return useDeferredValue(useChart().revision)
}

/** What is still to be sent, what was refused, and how the line to the server stands. */
export function useWaiting(): Sending {
  const { store } = useIn()
  return useSyncExternalStore(store.subscribe, store.sending)
}

/** What the server told of past visits that this tablet need not hold. */
export function usePastTold(): PastVisitsTold {
  const { store } = useIn()
  return useSyncExternalStore(store.subscribe, store.told)
}

/** Whether all of a patient's record is on this tablet; null until that is known. */
export function useIsWhole(patientId: string): boolean | null {
  const { store } = useIn()
  const sending = useSyncExternalStore(store.subscribe, store.sending)
  const [isWhole, setIsWhole] = useState<boolean | null>(null)
  // Whatever was sent or fetched may have changed it.
  useEffect(() => {
    let isOld = false
    void sending
    store.isWhole(patientId).then(
      (found) => isOld || setIsWhole(found),
      () => undefined,
    )
    return () => {
      isOld = true
    }
  }, [store, patientId, sending])
  return isWhole
}

/** Fetches all of a patient's record onto this tablet, where it stays for as long as a shift is. */
export function useBring(): (patientId: string) => Promise<Answer<null>> {
  const { store } = useIn()
  return useCallback(async (patientId) => answer((await store.bring(patientId)) ?? NOTHING), [store])
}

const NOTHING: Reply<null> = { kind: 'ok', body: null }

/** Sends what the server refused once more. */
export function useRetryRefused(): () => Promise<void> {
  const { store } = useIn()
  return useCallback(() => store.retryRefused(), [store])
}

/**
 * The present as an instant, renewed every `everyMs`. The ticks fall on whole multiples, so that all timers on a
 * screen turn together.
 */
export function useNow(everyMs = 1000): string {
  const { nowMs } = useWorld()
  const [now, setNow] = useState(nowMs)
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout>
    const tick = () => {
      const at = nowMs()
      setNow(at)
      timer = setTimeout(tick, everyMs - (at % everyMs))
    }
    tick()
    return () => clearTimeout(timer)
  }, [nowMs, everyMs])
  return new Date(now).toISOString()
}

/** Makes ids that sort by the time at which they were made. */
export function useNewId(): () => string {
  return newId
}

/** Who writes: the person signed in, on this tablet, by its clock. For facts that are written by other rooms. */
export function useWriter(): Writer {
  const { personId, role, facility } = useMe()
  const { nowMs } = useWorld()
  return useMemo(
    () => ({ facility, by: { personId, role }, device: deviceId(), newId, nowMs }),
    [facility, personId, role, nowMs],
  )
}

/** Notes in the access log that the record of a patient is open on this tablet. */
export function useLooked(patientId: string, where: 'patient' | 'visit'): void {
  const { store } = useIn()
  useEffect(() => {
    // A disk that takes no entry says so at the next thing that is charted; reading on is not held up.
    store.looked(patientId, where).catch(() => undefined)
  }, [store, patientId, where])
}

export type RecordFact = <K extends KindName>(
  kind: K,
  about: AnyFact['about'],
  body: BodyOf<K>,
  more?: { readonly happenedAt?: string; readonly corrects?: string },
) => Promise<void>

/** Puts one fact on the record; resolves once it is on this tablet's disk. Rejects with NotKept if it is not. */
export function useRecord(): RecordFact {
  const recordAll = useRecordAll()
  const writer = useWriter()
  return useCallback(
    (kind, about, body, more) => recordAll([writeFact(writer, kind, about, body, more)]),
    [recordAll, writer],
  )
}

/** Puts facts on the record together, all or none. Rejects with NotKept if they are not kept. */
export function useRecordAll(): (facts: readonly AnyFact[]) => Promise<void> {
  const { store } = useIn()
  return useCallback((facts) => store.record(facts), [store])
}

/** What the server answered, or why there is no answer and what to do. */
export type Answer<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly what: string; readonly todo: string }

/** Asks the server: `get('/api/verify', Verified)`. */
export function useGet(): <T>(path: string, reply: z.ZodType<T>) => Promise<Answer<T>> {
  const { api } = useWorld()
  return useCallback(async (path, reply) => answer(await api.get(path, reply)), [api])
}

/** Gives something to the server that it must take there and then: `post('/api/messages', body, MessageAnswers)`. */
export function usePost(): <T>(path: string, body: unknown, reply: z.ZodType<T>) => Promise<Answer<T>> {
  const { api } = useWorld()
  return useCallback(async (path, body, reply) => answer(await api.post(path, body, reply)), [api])
}

function answer<T>(reply: Reply<T>): Answer<T> {
  if (reply.kind === 'ok') return { ok: true, value: reply.body }
  if (reply.kind === 'said no') return { ok: false, what: reply.error.what, todo: reply.error.todo }
  return { ok: false, what: 'The server cannot be reached.', todo: 'Try again once the network is back.' }
}

/** A department document as it is in force: the last one adopted that can be read, else what the program brings. */
export function useDocument<Content>(kind: DocumentKind<string, Content>): Content {
  const adopted = useChart().adoptions(kind.name)
  return documentInForce(kind, adopted)
}

/** How this hospital does what hospitals do differently. */
export function useSite(): Site {
  return useDocument(SITE)
}

/** The formulary in force, with its look-ups. */
export function useFormulary(): Formulary {
  return useFormularyWhenAsked()()
}

/** The same, read when it is first asked for: it is long, and a screen that is being drawn should not wait for it. */
export function useFormularyWhenAsked(): () => Formulary {
  const adopted = useChart().adoptions(FORMULARY_KIND.name)
  return useMemo(() => once(() => formularyOf(documentInForce(FORMULARY_KIND, adopted))), [adopted])
}

/** Writes an instant as the hospital's clock shows it, on 24 hours: `14:05`. */
export function useClock(): (instant: string) => string {
  const { timeZone } = useSite()
  return useMemo(() => {
    const format = new Intl.DateTimeFormat('en-GB', {
      hour: '2-digit',
      minute: '2-digit',
      hourCycle: 'h23',
      timeZone,
    })
    return (instant) => format.format(new Date(instant))
  }, [timeZone])
}

/** The same with the day, for what may lie days or hours back: `25 Nov 14:05`. */
export function useDayAndClock(): (instant: string) => string {
  const { timeZone } = useSite()
  return useMemo(() => {
    const day = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', timeZone })
    const time = new Intl.DateTimeFormat('en-GB', {
      hour: '2-digit',
      minute: '2-digit',
      hourCycle: 'h23',
      timeZone,
    })
    return (instant) => `${day.format(new Date(instant))} ${time.format(new Date(instant))}`
  }, [timeZone])
}

/** The hospital's calendar day: `2026-11-25`. */
export function useToday(): string {
  const { timeZone } = useSite()
  const minute = useNow(60_000)
  return useMemo(
    () => new Intl.DateTimeFormat('en-CA', { timeZone }).format(new Date(minute)),
    [minute, timeZone],
  )
}
