import { type Fact, FactEnvelope, type FactKind, type FactOf } from './fact.ts'
import * as census from './facts/census.ts'
import * as messages from './facts/messages.ts'
import * as orders from './facts/orders.ts'
import * as plan from './facts/plan.ts'
import * as staff from './facts/staff.ts'
import * as visit from './facts/visit.ts'

/** Every kind of fact there is. A new kind is added here and nowhere else. */
export const KINDS = [
  messages.MessageReceived,
  messages.ItemSettled,
  messages.FeedOpened,
  messages.MessageComposed,
  messages.MessageAnswered,
  census.CensusUpdated,
  census.PatientAway,
  census.PatientBack,
  census.OutsideRecordReceived,
  orders.OrderPlaced,
  orders.OrderChanged,
  orders.OrderHeld,
  orders.OrderReleased,
  orders.OrderDiscontinued,
  orders.OrderReviewed,
  orders.FindingAnswered,
  staff.StaffRecorded,
  staff.ShiftAssigned,
  staff.HandoverWritten,
  staff.HandoverAccepted,
  staff.DocumentAdopted,
  plan.PlanIssued,
  plan.VisitPinned,
  plan.VisitUnpinned,
  plan.CallReceived,
  visit.VisitOpened,
  visit.VisitTakenUp,
  visit.DoorChecked,
  visit.PatientIdentified,
  visit.IdentityRefused,
  visit.MedicineIdentified,
  visit.Measured,
  visit.Prepared,
  visit.PreparationChecked,
  visit.SetUpSent,
  visit.SetUpChosen,
  visit.TreatmentStarted,
  visit.TreatmentPaused,
  visit.TreatmentGoesOn,
  visit.StopAnswered,
  visit.TreatmentEnded,
  visit.AfterDone,
  visit.DoseNotGiven,
  visit.NoteSigned,
  visit.NoteCosigned,
  visit.NoteCorrected,
  visit.EntryStruck,
] as const

/** Any fact whose body has been read. Narrow it by `kind`. */
export type AnyFact = FactOf<(typeof KINDS)[number]>
export type KindName = AnyFact['kind']
export type BodyOf<K extends KindName> = Extract<AnyFact, { kind: K }>['body']

const byName: ReadonlyMap<string, FactKind<string, unknown>> = new Map(
  KINDS.map((kind) => [kind.kind, kind as FactKind<string, unknown>]),
)

/** Why a fact cannot be read, as data. */
export type FactProblem = {
  readonly id: string | null
  readonly where: string
  readonly what: string
}

export type ReadFact =
  | { readonly ok: true; readonly fact: AnyFact }
  | { readonly ok: false; readonly problems: readonly FactProblem[] }

/**
 * Reads a fact as it came over the wire or out of a store: checks the envelope, the kind, what it must be about,
 * and the body, lifting older bodies to the present version first. Never throws.
 */
export function readFact(given: unknown): ReadFact {
  const envelope = FactEnvelope.safeParse(given)
  if (!envelope.success) return refused(idIn(given), envelope.error.issues)
  const { data } = envelope
  const kind = byName.get(data.kind)
  if (!kind) return refusal(data.id, 'kind', `no kind of fact is called ${data.kind}`)
  if (data.version > kind.version) {
    return refusal(
      data.id,
      'version',
      `${data.kind} ${data.version} is newer than this program reads (${kind.version})`,
    )
  }
  const missing = kind.about.filter((key) => data.about[key] === undefined)
  if (missing.length > 0) return refusal(data.id, 'about', `${data.kind} must say its ${missing.join(', ')}`)
  const body = kind.body.safeParse(lifted(kind, data.version, data.body))
  if (!body.success) return refused(data.id, body.error.issues, 'body')
  return { ok: true, fact: { ...data, version: kind.version, body: body.data } as AnyFact }
}

function lifted(kind: FactKind<string, unknown>, from: number, body: unknown): unknown {
  let lifting = body
  for (let version = from; version < kind.version; version += 1) {
    const step = kind.upcasts?.[version]
    if (!step) throw new Error(`${kind.kind} has no step from version ${version}`)
    lifting = step(lifting as never)
  }
  return lifting
}

function refusal(id: string | null, where: string, what: string): ReadFact {
  return { ok: false, problems: [{ id, where, what }] }
}

function refused(
  id: string | null,
  issues: readonly { path: PropertyKey[]; message: string }[],
  prefix?: string,
): ReadFact {
  return {
    ok: false,
    problems: issues.map((issue) => ({
      id,
      where: [prefix, ...issue.path.map(String)].filter(Boolean).join('.'),
      what: issue.message,
    })),
  }
}

function idIn(given: unknown): string | null {
  return typeof given === 'object' && given !== null && 'id' in given && typeof given.id === 'string'
    ? given.id
    : null
}

/** What is the same for all facts that one person writes on one device. */
export type Writer = {
  readonly facility: string
  readonly by: Fact['by']
  readonly device: string
  readonly newId: () => string
  readonly nowMs: () => number
}

/** Writes a fact: the envelope filled from the writer, the body as given (checked by `readFact` at every door). */
export function writeFact<K extends KindName>(
  writer: Writer,
  kind: K,
  about: Fact['about'],
  body: BodyOf<K>,
  more: { readonly happenedAt?: string; readonly corrects?: string } = {},
): Extract<AnyFact, { kind: K }> {
  const now = new Date(writer.nowMs()).toISOString()
  const version = byName.get(kind)?.version ?? 1
  return {
    id: writer.newId(),
    facility: writer.facility,
    kind,
    version,
    about,
    happenedAt: more.happenedAt ?? now,
    recordedAt: now,
    by: writer.by,
    device: writer.device,
    ...(more.corrects !== undefined && { corrects: more.corrects }),
    body,
  } as Extract<AnyFact, { kind: K }>
}
