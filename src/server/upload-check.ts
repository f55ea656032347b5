import { isDocumentName, readDocument } from '../chart/documents/documents.ts'
import type { FactEnvelope } from '../chart/fact.ts'
import { mayWrite } from '../chart/permissions.ts'
import { type AnyFact, readFact } from '../chart/registry.ts'
import type { OnDemand } from './on-demand.ts'
import type { People, SignedIn } from './people.ts'

type Problems = { where: string; what: string }[]

/** What a fact is held against besides itself. */
export type Against = {
  readonly who: SignedIn
  readonly record: Pick<OnDemand, 'read'>
  readonly people: Pick<People, 'find'>
}

/**
 * Why a fact that was sent may not be stored: it is not whole, it is not this facility's, it is somebody else's, or
 * it is not theirs to write. No problem means that it may.
 */
export async function problemsOf(fact: FactEnvelope, against: Against): Promise<Problems> {
  const { who } = against
  const problems: Problems = []
  if (fact.facility !== who.facility) problems.push({ where: 'facility', what: 'this is not your hospital' })
  if (fact.by.personId !== who.personId || fact.by.role !== who.role) {
    problems.push({ where: 'by', what: 'a fact is signed by whoever is signed in' })
  }
  if (!mayWrite(who.role, fact.kind)) {
    problems.push({ where: 'kind', what: `a ${who.role} does not write ${fact.kind}` })
  }
  const read = readFact(fact)
  if (!read.ok) return [...problems, ...read.problems.map(({ where, what }) => ({ where, what }))]
  return [...problems, ...(await byKind(read.fact, against))]
}

async function byKind(fact: AnyFact, against: Against): Promise<Problems> {
  switch (fact.kind) {
    case 'document-adopted':
      return documentProblems(fact.about.document ?? '', fact.body.content)
    case 'note-cosigned':
      return cosignProblems(fact.body.signs, against)
    case 'staff-recorded':
      return staffProblems(fact.about.personId ?? '', fact.body, against)
    default:
      return []
  }
}

function documentProblems(name: string, content: unknown): Problems {
  if (!isDocumentName(name)) return [{ where: 'about.document', what: `there is no document ${name}` }]
  const read = readDocument(name, content)
  return read.ok ? [] : read.problems.map(({ where, what }) => ({ where: `body.content.${where}`, what }))
}

async function cosignProblems(signs: string, { who, record }: Against): Promise<Problems> {
  const signed = await record.read((chart) => chart.fact(signs))
  if (signed && signed.by.personId === who.personId) {
    return [{ where: 'body.signs', what: 'a note is co-signed by somebody else than who signed it' }]
  }
  return []
}

/** What a person may do hangs on the role they sign in with: it is changed under People, never by a fact alone. */
async function staffProblems(
  personId: string,
  body: Extract<AnyFact, { kind: 'staff-recorded' }>['body'],
  { who, people }: Against,
): Promise<Problems> {
  const person = await people.find(who.facility, personId)
  if (!person || (person.role === body.role && person.active === body.active)) return []
  return [{ where: 'body.role', what: 'a role, or whether somebody may sign in, is changed under People' }]
}
