import type { AnyFact, BodyOf, KindName } from '../registry.ts'
import { foldRun, type Run } from './run.ts'
import { standing } from './standing.ts'

/** A stage's record as it stands: the body, when it happened, who wrote it, and the fact's id. */
export type Entry<K extends KindName> = {
  readonly factId: string
  readonly at: string
  readonly by: { readonly personId: string; readonly role: string }
  readonly body: BodyOf<K>
}

/** The note: as first signed, with every correction and the second signature. The last text is the one in force. */
export type NoteState = {
  readonly signed: Entry<'note-signed'>
  readonly corrections: readonly Entry<'note-corrected'>[]
  readonly cosigned: Entry<'note-cosigned'> | null
  readonly needsCosign: boolean
  /** Corrections that no second signature covers, by itself or by a later correction of them. */
  readonly notCosigned: readonly Entry<'note-corrected'>[]
}

export type VisitState = {
  readonly visitId: string
  readonly patientId: string
  readonly orderId: string
  readonly doseAt: string | null
  readonly opened: Entry<'visit-opened'>
  /** Who had the visit in hand, in order; the last has it now. */
  readonly hands: readonly { readonly at: string; readonly personId: string; readonly device: string }[]
  readonly door: Entry<'door-checked'> | null
  readonly identified: Entry<'patient-identified'> | null
  readonly medicines: readonly Entry<'medicine-identified'>[]
  readonly refusals: readonly Entry<'identity-refused'>[]
  readonly measured: readonly Entry<'measured'>[]
  readonly prepared: Entry<'prepared'> | null
  readonly labelChecked: Entry<'preparation-checked'> | null
  /** The last set-up that was sent from the bench. */
  readonly sent: Entry<'set-up-sent'> | null
  readonly setUp: Entry<'set-up-chosen'> | null
  readonly run: Run
  readonly stops: readonly Entry<'stop-answered'>[]
  readonly ended: Entry<'treatment-ended'> | null
  readonly after: Entry<'after-done'> | null
  readonly notGiven: Entry<'dose-not-given'> | null
  readonly note: NoteState | null
  /** Every fact of the visit, corrected ones included, for the record's own screen. */
  readonly factIds: readonly string[]
}

/** Facts of one visit to where the visit stands; null while its opening has not arrived. */
export function foldVisit(visitId: string, facts: Iterable<AnyFact>): VisitState | null {
  const given = [...facts]
  const all = standing(given)
  const opened = all.find((fact) => fact.kind === 'visit-opened')
  if (!opened) return null
  return {
    visitId,
    patientId: opened.about.patientId ?? '',
    orderId: opened.about.orderId ?? '',
    doseAt: opened.body.doseAt,
    opened: entry<'visit-opened'>(opened),
    hands: all
      .filter(isHand)
      .map(({ happenedAt, by, device }) => ({ at: happenedAt, personId: by.personId, device })),
    door: last(all, 'door-checked'),
    identified: last(all, 'patient-identified'),
    medicines: lastEach(all),
    refusals: every(all, 'identity-refused'),
    measured: every(all, 'measured'),
    prepared: last(all, 'prepared'),
    labelChecked: last(all, 'preparation-checked'),
    sent: last(all, 'set-up-sent'),
    setUp: last(all, 'set-up-chosen'),
    run: foldRun(all),
    stops: every(all, 'stop-answered'),
    ended: last(all, 'treatment-ended'),
    after: last(all, 'after-done'),
    notGiven: last(all, 'dose-not-given'),
    note: foldNote(given),
    factIds: [...new Set(given.map((fact) => fact.id))].sort(),
  }
}

function isHand(fact: AnyFact): boolean {
  return fact.kind === 'visit-opened' || fact.kind === 'visit-taken-up'
}

function entry<K extends KindName>(fact: AnyFact): Entry<K> {
  return { factId: fact.id, at: fact.happenedAt, by: fact.by, body: fact.body as BodyOf<K> }
}

function every<K extends KindName>(facts: readonly AnyFact[], kind: K): Entry<K>[] {
  return facts.filter((fact) => fact.kind === kind).map((fact) => entry<K>(fact))
}

function last<K extends KindName>(facts: readonly AnyFact[], kind: K): Entry<K> | null {
  return every(facts, kind).at(-1) ?? null
}

/** One entry a medicine: a second scan of the same medicine stands in place of the first. */
function lastEach(facts: readonly AnyFact[]): Entry<'medicine-identified'>[] {
  const byMedicine = new Map<string, Entry<'medicine-identified'>>()
  for (const seen of every(facts, 'medicine-identified')) byMedicine.set(seen.body.medicineId, seen)
  return [...byMedicine.values()]
}

/** Corrections name what they correct, so a note is folded over all facts: the signed one must stay readable. */
function foldNote(given: readonly AnyFact[]): NoteState | null {
  const inTime = standing(given.map(({ corrects: _, ...fact }) => fact as AnyFact))
  const signed = every(inTime, 'note-signed')[0]
  if (!signed) return null
  const cosigned = last(inTime, 'note-cosigned')
  const corrections = every(inTime, 'note-corrected')
  const covered = coveredBy(every(inTime, 'note-cosigned'), corrections)
  return {
    signed,
    corrections,
    cosigned,
    needsCosign: signed.by.role === 'learner' && cosigned === null,
    notCosigned: corrections.filter(({ factId }) => !covered.has(factId)),
  }
}

/** Who signs a corrected text signs for the corrections that it was written over, too. */
function coveredBy(
  cosigned: readonly Entry<'note-cosigned'>[],
  corrections: readonly Entry<'note-corrected'>[],
): ReadonlySet<string> {
  const covers = new Map(corrections.map(({ factId, body }) => [factId, body.covers]))
  const covered = new Set<string>()
  const open = cosigned.flatMap(({ body }) => body.covers)
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    if (covered.has(id)) continue
    covered.add(id)
    open.push(...(covers.get(id) ?? []))
  }
  return covered
}

/** The ends of the line of corrections: one, or several when devices corrected without knowing of each other. */
export function noteHeads(note: NoteState): readonly string[] {
  const covered = new Set(note.corrections.flatMap(({ body }) => body.covers))
  const heads = note.corrections.filter(({ factId }) => !covered.has(factId)).map(({ factId }) => factId)
  return heads.length === 0 ? [note.signed.factId] : heads
}

/** The text in force and who stands for it. */
export function noteInForce(note: NoteState): {
  readonly text: string
  readonly at: string
  readonly name: string
} {
  const newest = note.corrections.at(-1) ?? note.signed
  return { text: newest.body.text, at: newest.at, name: newest.body.printedName }
}

/** A visit is over when its note is signed, or when the dose was charted as not given. */
export function isOver(visit: VisitState): boolean {
  return visit.note !== null || visit.notGiven !== null
}
