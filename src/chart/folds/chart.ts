import type { AnyFact } from '../registry.ts'
import { type AdoptedDocument, foldDocuments } from './documents.ts'
import { foldHandover, type HandoverState } from './handover.ts'
import { type MessageState, messageState } from './message.ts'
import { foldOrder, type OrderState } from './order.ts'
import { foldOutgoing, type OutgoingState } from './outgoing.ts'
import { foldPatient, type PatientState } from './patient.ts'
import { foldPlans, type ShiftPlans } from './plans.ts'
import { foldStaff, type StaffState } from './staff.ts'
import { foldVisit, type VisitState } from './visit.ts'

export type Subject = 'patient' | 'order' | 'visit' | 'person' | 'handover' | 'document' | 'message' | 'shift'

/** What a message is on its way is no wrong clock [ms]. Design rule. */
const OFF_CLOCK_MS = 60_000

/** Hears what a chart is asked for: a subject, or one fact, by its id. */
export type Looked = (subject: Subject | 'fact', id: string) => void

/**
 * All that a set of facts says, folded subject by subject and only when asked. Adding a fact throws away only
 * what it touches, so a tablet can add one fact a second to a hundred thousand. The same facts in any order, each
 * once or many times, give the same chart: on the server, on this tablet, on the next.
 */
export class Chart {
  readonly #facts = new Map<string, AnyFact>()
  readonly #bySubject = new Map<string, AnyFact[]>()
  readonly #folded = new Map<string, unknown>()
  readonly #deviceAheadMs = new Map<string, number>()
  /** Facts whose device was off by more than a moment: most devices keep the time, so these are few. */
  readonly #offClock = new Map<string, number>()
  #revision = 0

  readonly #looked: Looked | null

  /** `looked` hears of every subject that is asked for by its id: whoever fills the chart on demand fills it by that. */
  constructor(looked: Looked | null = null) {
    this.#looked = looked
  }

  /** Another chart of the same facts, to be added to by itself. */
  copy(): Chart {
    return new Chart(this.#looked).add(this.facts(), this.#deviceAheadMs)
  }
  #clocksLearned = 0

  /** Counts the facts added and forgotten; a screen that kept a revision knows whether it is stale. */
  get revision(): number {
    return this.#revision
  }

  /** How many facts it holds. */
  get size(): number {
    return this.#facts.size
  }

  /** Counts what was learned of the clocks of devices; that may come after the fact itself, from the server. */
  get clocksLearned(): number {
    return this.#clocksLearned
  }

  /** Adds facts; those already here change nothing. `deviceAheadMs` is what the server found of the device's clock. */
  add(facts: Iterable<AnyFact>, deviceAheadMs?: ReadonlyMap<string, number>): this {
    for (const fact of facts) {
      const ahead = deviceAheadMs?.get(fact.id)
      if (ahead !== undefined) this.#learnAhead(fact.id, ahead)
      if (this.#facts.has(fact.id)) continue
      this.#facts.set(fact.id, fact)
      for (const subject of subjectsOf(fact)) {
        const known = this.#bySubject.get(subject)
        if (known) known.push(fact)
        else this.#bySubject.set(subject, [fact])
        this.#folded.delete(subject)
      }
      this.#revision += 1
    }
    this.#folded.delete('visits-by-order')
    return this
  }

  /** Lets go of all that was said of some patients, as though it had never been added. Gives the facts that went. */
  forget(patientIds: Iterable<string>): AnyFact[] {
    const gone = [...patientIds].flatMap((id) => this.#bySubject.get(`patient ${id}`) ?? [])
    const ids = new Set(gone.map(({ id }) => id))
    for (const subject of new Set(gone.flatMap(subjectsOf))) {
      const left = this.#bySubject.get(subject)?.filter(({ id }) => !ids.has(id)) ?? []
      if (left.length > 0) this.#bySubject.set(subject, left)
      else this.#bySubject.delete(subject)
      this.#folded.delete(subject)
    }
    for (const id of ids) {
      this.#facts.delete(id)
      this.#deviceAheadMs.delete(id)
      this.#offClock.delete(id)
    }
    this.#folded.delete('visits-by-order')
    this.#revision += ids.size
    return gone
  }

  fact(id: string): AnyFact | undefined {
    this.#looked?.('fact', id)
    return this.#facts.get(id)
  }

  facts(): Iterable<AnyFact> {
    return this.#facts.values()
  }

  /** How far the device that wrote a fact was ahead of the server's clock when it was sent, if known [ms]. */
  deviceAheadMs(factId: string): number | undefined {
    return this.#deviceAheadMs.get(factId)
  }

  /** Facts whose device was further off than this when it sent them. */
  clockOff(toleranceMs: number): AnyFact[] {
    return [...this.#offClock].flatMap(([id, aheadMs]) => {
      const fact = Math.abs(aheadMs) > toleranceMs ? this.#facts.get(id) : undefined
      return fact ? [fact] : []
    })
  }

  factsAbout(subject: Subject, id: string): readonly AnyFact[] {
    this.#looked?.(subject, id)
    return this.#bySubject.get(`${subject} ${id}`) ?? []
  }

  patient(id: string): PatientState {
    return this.#once('patient', id, (facts) => foldPatient(id, facts))
  }

  order(id: string): OrderState | null {
    return this.#once('order', id, (facts) => foldOrder(id, facts))
  }

  visit(id: string): VisitState | null {
    return this.#once('visit', id, (facts) => foldVisit(id, facts))
  }

  person(id: string): StaffState | null {
    return this.#once('person', id, (facts) => foldStaff(id, facts))
  }

  handover(id: string): HandoverState | null {
    return this.#once('handover', id, (facts) => foldHandover(id, facts))
  }

  /** The plans given out for a shift, which is in force, and what is pinned. */
  plans(shiftId: string): ShiftPlans {
    return this.#once('shift', shiftId, (facts) => foldPlans(shiftId, facts))
  }

  /** Every adoption of a department document, oldest first. */
  adoptions(name: string): readonly AdoptedDocument[] {
    return this.#once('document', name, (facts) => foldDocuments(facts))
  }

  patients(): PatientState[] {
    return this.#ids('patient')
      .map((id) => this.patient(id))
      .filter((patient) => patient.mrn !== null)
  }

  orders(): OrderState[] {
    return this.#ids('order').flatMap((id) => this.order(id) ?? [])
  }

  visits(): VisitState[] {
    return this.#ids('visit').flatMap((id) => this.visit(id) ?? [])
  }

  staff(): StaffState[] {
    return this.#ids('person').flatMap((id) => this.person(id) ?? [])
  }

  handovers(): HandoverState[] {
    return this.#ids('handover').flatMap((id) => this.handover(id) ?? [])
  }

  plannedShifts(): ShiftPlans[] {
    return this.#ids('shift').map((id) => this.plans(id))
  }

  messages(): MessageState[] {
    return this.#ids('message').flatMap((id) =>
      this.factsAbout('message', id).flatMap((fact) =>
        fact.kind === 'message-received' ? messageState(fact) : [],
      ),
    )
  }

  /** A message of ours; null when there is none of that id. */
  outgoing(messageId: string): OutgoingState | null {
    return this.#once('message', messageId, (facts) => foldOutgoing(facts))
  }

  /** Every message of ours. */
  outgoings(): OutgoingState[] {
    return this.#ids('message').flatMap((id) => this.outgoing(id) ?? [])
  }

  /** Visits of one order, oldest first. */
  visitsOf(orderId: string): readonly VisitState[] {
    this.#looked?.('order', orderId)
    const key = 'visits-by-order'
    let byOrder = this.#folded.get(key) as Map<string, VisitState[]> | undefined
    if (!byOrder) {
      byOrder = new Map()
      for (const visit of this.visits()) {
        const beside = byOrder.get(visit.orderId)
        if (beside) beside.push(visit)
        else byOrder.set(visit.orderId, [visit])
      }
      this.#folded.set(key, byOrder)
    }
    return (byOrder.get(orderId) ?? []).toSorted((a, b) => (a.opened.at < b.opened.at ? -1 : 1))
  }

  ordersOf(patientId: string): OrderState[] {
    const ids = new Set(this.factsAbout('patient', patientId).flatMap((fact) => fact.about.orderId ?? []))
    return [...ids].flatMap((id) => this.order(id) ?? [])
  }

  #learnAhead(id: string, aheadMs: number): void {
    if (this.#deviceAheadMs.get(id) === aheadMs) return
    this.#deviceAheadMs.set(id, aheadMs)
    if (Math.abs(aheadMs) > OFF_CLOCK_MS) this.#offClock.set(id, aheadMs)
    else this.#offClock.delete(id)
    this.#clocksLearned += 1
  }

  #ids(subject: Subject): string[] {
    const prefix = `${subject} `
    const ids: string[] = []
    for (const key of this.#bySubject.keys()) if (key.startsWith(prefix)) ids.push(key.slice(prefix.length))
    return ids.sort()
  }

  #once<State>(subject: Subject, id: string, fold: (facts: readonly AnyFact[]) => State): State {
    const key = `${subject} ${id}`
    this.#looked?.(subject, id)
    if (this.#folded.has(key)) return this.#folded.get(key) as State
    const state = fold(this.#bySubject.get(key) ?? [])
    this.#folded.set(key, state)
    return state
  }
}

function subjectsOf(fact: AnyFact): string[] {
  const { about } = fact
  const subjects: string[] = []
  if (about.patientId) subjects.push(`patient ${about.patientId}`)
  if (about.orderId) subjects.push(`order ${about.orderId}`)
  if (about.visitId) subjects.push(`visit ${about.visitId}`)
  if (about.personId) subjects.push(`person ${about.personId}`)
  if (about.handoverId) subjects.push(`handover ${about.handoverId}`)
  if (about.shiftId) subjects.push(`shift ${about.shiftId}`)
  if (about.document) subjects.push(`document ${about.document}`)
  if (about.messageId) subjects.push(`message ${about.messageId}`)
  return subjects
}
