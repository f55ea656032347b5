import { canonicalJson } from '../../chart/canonical.ts'
import type { Chart } from '../../chart/folds/chart.ts'
import { type OrderState, termsAt } from '../../chart/folds/order.ts'
import { isGivenUp, type OutgoingState } from '../../chart/folds/outgoing.ts'
import { standing } from '../../chart/folds/standing.ts'
import { foldVisit } from '../../chart/folds/visit.ts'
import type { AnyFact, BodyOf } from '../../chart/registry.ts'
import { BadInput } from '../../clinical/worked.ts'
import { doseOfVisit, type ToldVisit } from './dose-of-visit.ts'
import { patientOf } from './patient-of.ts'
import { type WrittenDose, writeDose } from './write-given.ts'
import { observationKey, type WrittenObservation, writeObservations } from './write-observations.ts'
import type { Envelope } from './write-segments.ts'

export type MessageType = BodyOf<'message-composed'>['type']

/**
 * Who is told what, and which message is asked for. A system that takes both has the observations in ORU^R01 alone, so
 * that none is told twice.
 */
export type Told = {
  readonly destination: string
  readonly types: readonly MessageType[]
  readonly type: MessageType
}

/** A message that is due, before it has its number and its id. */
export type DueMessage = Pick<
  BodyOf<'message-composed'>,
  'type' | 'action' | 'subject' | 'covers' | 'text' | 'problem'
> & { readonly patientId: string; readonly orderId: string }

const OBSERVED = { code: 'NEBULIZED-TREATMENT', text: 'Observations of a nebulized treatment', system: 'L' }

/**
 * What a system has yet to be told of one treatment (a visit, or a dose not given without one): nothing while it is not
 * signed or has been told as it stands; an update when a correction changed what was told; a deletion when what was
 * told does not stand any more. What was given up is told again when a person asks, or when it has changed.
 */
export function dueMessage(
  chart: Chart,
  subject: string,
  { destination, types, type }: Told,
  envelope: Envelope,
): DueMessage | null {
  const facts = factsOf(chart, subject)
  const about = facts[0]?.about
  const order = about?.orderId === undefined ? null : chart.order(about.orderId)
  if (!about?.patientId || !order) return null
  const patientId = about.patientId
  const told = toldOf(chart, patientId, destination, type, subject)
  const withObservations = type === 'ORU^R01' || !types.includes('ORU^R01')
  const content = (of: readonly AnyFact[]) => contentOf(chart, subject, of, order, withObservations)
  const due = dueOne(facts, told, content)
  const written = due && write(type, due.content, due.action, subject, envelope)
  if (!due || !written) return null
  const covers = facts.map(({ id }) => id).sort()
  return { type, action: due.action, subject, patientId, orderId: order.orderId, covers, ...written }
}

type Content =
  | { readonly ok: true; readonly dose: WrittenDose }
  | { readonly ok: false; readonly problem: string }
type Due = { readonly action: 'A' | 'U' | 'D'; readonly content: Content }

function dueOne(
  facts: readonly AnyFact[],
  told: readonly OutgoingState[],
  contentOfFacts: (facts: readonly AnyFact[]) => Content | null,
): Due | null {
  const newest = told.at(-1)
  const base = told.findLast((message) => !isGivenUp(message))
  const now = contentOfFacts(facts)
  const then = (message: OutgoingState) =>
    contentOfFacts(facts.filter(({ id }) => message.covers.includes(id)))
  const isAsked = newest !== undefined && isGivenUp(newest) && newest.isAskedAgain
  if (!base || base.action === 'D') {
    const isNews = !newest || newest === base || isAsked || !alike(then(newest), now)
    return now && isNews ? { action: 'A', content: now } : null
  }
  const before = then(base)
  if (!now) {
    const isTold = newest !== base && newest?.action === 'D' && !isAsked
    return before && !isTold ? { action: 'D', content: deleted(before) } : null
  }
  if (alike(before, now)) return null
  if (newest !== base && newest && !isAsked && alike(then(newest), now)) return null
  return { action: 'U', content: updated(before, now) }
}

function alike(one: Content | null, other: Content | null): boolean {
  return canonicalJson(one) === canonicalJson(other)
}

/** What a set of facts tells of a treatment; null while it is not over and signed. */
function contentOf(
  chart: Chart,
  subject: string,
  facts: readonly AnyFact[],
  order: OrderState,
  withObservations: boolean,
): Content | null {
  const visit = toldVisit(subject, facts)
  if (!visit || !isTellable(visit)) return null
  try {
    const at = visit.notGiven?.body.doseAt ?? visit.run.startedAt ?? visit.notGiven?.at ?? order.placedAt
    const dose = doseOfVisit(visit, {
      patient: patientOf(chart.patient(order.patientId)),
      order: termsAt(order, at),
      action: 'A',
      nameOf: (personId) => chart.person(personId)?.name ?? personId,
    })
    return { ok: true, dose: withObservations ? dose : { ...dose, observations: [] } }
  } catch (error) {
    return { ok: false, problem: problemOf(error) }
  }
}

/** A learner's note is told once it is co-signed; a signed treatment whose end was struck does not stand any more. */
function isTellable({ note, notGiven, ended, run }: ToldVisit): boolean {
  if (notGiven !== null) return true
  return note !== null && !note.needsCosign && ended !== null && run.startedAt !== null
}

function factsOf(chart: Chart, subject: string): readonly AnyFact[] {
  const ofVisit = chart.factsAbout('visit', subject)
  if (ofVisit.length > 0) return ofVisit
  const first = chart.fact(subject)
  if (first?.kind !== 'dose-not-given') return []
  const beside = chart.factsAbout('order', first.about.orderId ?? '')
  return [first, ...beside.filter(({ corrects }) => corrects === subject)]
}

function toldVisit(subject: string, facts: readonly AnyFact[]): ToldVisit | null {
  const visit = foldVisit(subject, facts)
  if (visit) return visit
  const fact = standing(facts).findLast((each) => each.kind === 'dose-not-given')
  if (!fact) return null
  const notGiven = { factId: fact.id, at: fact.happenedAt, by: fact.by, body: fact.body }
  const run = { startedAt: null, pauses: [], endedAt: null }
  return { visitId: subject, notGiven, note: null, ended: null, run, measured: [], medicines: [] }
}

/** Messages about one treatment to one system, in the order in which they were written. */
function toldOf(
  chart: Chart,
  patientId: string,
  destination: string,
  type: MessageType,
  subject: string,
): OutgoingState[] {
  return chart
    .factsAbout('patient', patientId)
    .flatMap((fact) =>
      fact.kind === 'message-composed' &&
      fact.body.destination === destination &&
      fact.body.type === type &&
      fact.body.subject === subject
        ? (chart.outgoing(fact.about.messageId ?? '') ?? [])
        : [],
    )
    .sort((a, b) => a.number - b.number)
}

/** What stands is told as corrected, and what was told and stands no more as wrong (OBX-11 C and W, table 0085). */
function updated(before: Content | null, now: Content): Content {
  if (!now.ok) return now
  const kept = new Set(now.dose.observations.map(observationKey))
  const gone = before?.ok ? before.dose.observations.filter((each) => !kept.has(observationKey(each))) : []
  const observations = [...now.dose.observations.map(corrected), ...gone.flatMap(wrong)]
  return { ok: true, dose: { ...now.dose, observations } }
}

function deleted(before: Content): Content {
  if (!before.ok) return before
  return { ok: true, dose: { ...before.dose, observations: before.dose.observations.flatMap(wrong) } }
}

function corrected(observation: WrittenObservation): WrittenObservation {
  return observation.status === 'X' ? observation : { ...observation, status: 'C' }
}

function wrong(observation: WrittenObservation): WrittenObservation[] {
  return observation.status === 'X' ? [] : [{ ...observation, status: 'W' }]
}

type Written = Pick<DueMessage, 'text' | 'problem'>

/** The message, or why it cannot be written; null when there is nothing to tell in a message of this type. */
function write(
  type: MessageType,
  content: Content,
  action: DueMessage['action'],
  subject: string,
  envelope: Envelope,
): Written | null {
  if (!content.ok) return { text: null, problem: content.problem }
  const { dose } = content
  try {
    if (type === 'RAS^O17') return { text: writeDose(envelope, { ...dose, action }), problem: null }
    const { patient, observations, startedAt: at } = dose
    if (observations.length === 0) return null
    const set = { patient, filler: subject, what: OBSERVED, at, observations }
    return { text: writeObservations(envelope, set), problem: null }
  } catch (error) {
    return { text: null, problem: problemOf(error) }
  }
}

/** A fault of the program is told like any other reason: a treatment of which nobody is told must be seen. */
function problemOf(error: unknown): string {
  if (error instanceof BadInput) return error.message
  return `the program could not write it (${error instanceof Error ? error.name : typeof error})`
}
