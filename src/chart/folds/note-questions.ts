import type { AnyFact } from '../registry.ts'
import type { Chart } from './chart.ts'
import { ask, type Question, side, trueInstant } from './question.ts'
import { standing } from './standing.ts'
import { type Entry, noteHeads, type VisitState } from './visit.ts'

const SIGNING: readonly AnyFact['kind'][] = ['note-signed', 'note-cosigned', 'note-corrected', 'entry-struck']
type Words = Pick<Question, 'title' | 'what'>

/** What was signed or corrected on one device without knowing what another had written. */
export function noteQuestions(chart: Chart, visit: VisitState): Question[] {
  if (!visit.note) return []
  const facts = chart.factsAbout('visit', visit.visitId)
  return [
    ...signedTwice(visit, facts),
    ...signedUnseen(chart, visit, facts),
    ...correctedTwice(chart, visit),
    ...cosignedUnseen(chart, visit),
  ]
}

function signedTwice(visit: VisitState, facts: readonly AnyFact[]): Question[] {
  const signed = standing(facts.map(({ corrects: _, ...fact }) => fact as AnyFact)).filter(
    ({ kind }) => kind === 'note-signed',
  )
  if (signed.length < 2) return []
  const sides = signed.map((fact) => side(fact, 'signed a note'))
  return about(visit, 'signed twice', signed, sides, {
    title: 'Two notes of one treatment',
    what: 'The note was signed twice, each time without knowing of the other. Both are kept; the first is in force. Read both, and correct what is in force.',
  })
}

/** Entries from another device, written before the note was signed, that the signature does not cover. */
function signedUnseen(chart: Chart, visit: VisitState, facts: readonly AnyFact[]): Question[] {
  const signed = chart.fact(visit.note?.signed.factId ?? '')
  if (signed?.kind !== 'note-signed' || signed.body.covers.length === 0) return []
  const covered = new Set(signed.body.covers)
  const signedAt = trueInstant(chart, signed.id, signed.recordedAt)
  const unseen = facts.filter(
    (fact) =>
      fact.device !== signed.device &&
      !SIGNING.includes(fact.kind) &&
      !covered.has(fact.id) &&
      trueInstant(chart, fact.id, fact.recordedAt) <= signedAt,
  )
  if (unseen.length === 0) return []
  const sides = [
    ...unseen.map((fact) => side(fact, `wrote “${fact.kind}”`)),
    side(signed, 'signed without it'),
  ]
  return about(visit, 'signed unseen', [...unseen, signed], sides, {
    title: 'Signed before an entry was seen',
    what: 'The note was signed on one device while another had written entries of this visit that the signature does not cover. Read them, and correct the note if they change it.',
  })
}

/** Corrections that put right the same text, each without knowing of the other; gone once one covers both. */
function correctedTwice(chart: Chart, visit: VisitState): Question[] {
  const ends = visit.note ? noteHeads(visit.note) : []
  if (ends.length < 2) return []
  const heads = ends.map((factId) => ({ factId }))
  return about(visit, 'corrected twice', heads, sidesOf(chart, heads, 'corrected the note'), {
    title: 'Two corrections of one note',
    what: 'The signed note was corrected twice, each time without knowing of the other. Both are kept; the later is shown as in force. Read both, and correct the note so that it covers them.',
  })
}

/** A second signature given after a correction was made, without it; gone once somebody signs what is in force. */
function cosignedUnseen(chart: Chart, visit: VisitState): Question[] {
  const { note } = visit
  const cosigned = note?.cosigned
  if (!note || !cosigned) return []
  const signedAt = trueInstant(chart, cosigned.factId, cosigned.at)
  const unseen = note.notCosigned.filter(({ factId, at }) => trueInstant(chart, factId, at) <= signedAt)
  if (unseen.length === 0) return []
  const sides = [
    ...sidesOf(chart, unseen, 'corrected the note'),
    ...sidesOf(chart, [cosigned], 'co-signed the text before it'),
  ]
  return about(visit, 'signed after correction', [...unseen, cosigned], sides, {
    title: 'Co-signed before a correction was seen',
    what: 'The co-signature does not cover a correction that was there already. Read the corrected note and sign again.',
  })
}

function sidesOf(chart: Chart, entries: readonly Pick<Entry<'note-corrected'>, 'factId'>[], what: string) {
  return entries.flatMap(({ factId }) => {
    const fact = chart.fact(factId)
    return fact ? [side(fact, what)] : []
  })
}

type Named = { readonly id: string } | { readonly factId: string }

function about(
  { visitId, patientId, orderId }: VisitState,
  kind: Question['kind'],
  facts: readonly Named[],
  sides: Question['sides'],
  words: Words,
): Question[] {
  const key = [visitId, ...facts.map((fact) => ('id' in fact ? fact.id : fact.factId))].join('+')
  return [ask(kind, { patientId, orderId, visitIds: [visitId], key }, sides, words)]
}
