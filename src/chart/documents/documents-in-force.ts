import { inOrder } from '../fact.ts'
import type { AnyFact } from '../registry.ts'
import type { DocumentProblem } from './document-kind.ts'
import {
  DOCUMENTS,
  type DocumentContent,
  type DocumentName,
  isDocumentName,
  readDocument,
} from './documents.ts'

type Adoption = Extract<AnyFact, { kind: 'document-adopted' }>

/** A document as it was in force, and by which adoption; the program's own until there was one. */
type InForce<Name extends DocumentName> = {
  readonly content: DocumentContent<Name>
  readonly adopted: {
    readonly factId: string
    readonly edition: string
    readonly approvedBy: string
    readonly from: string
  } | null
}

/** An adoption that could not be used: what it was about, why, and what holds in its place. */
type UnusedAdoption = {
  readonly factId: string
  readonly document: string
  readonly problems: readonly DocumentProblem[]
}

export type DocumentsInForce = {
  readonly documents: { readonly [Name in DocumentName]: InForce<Name> }
  readonly unused: readonly UnusedAdoption[]
}

/**
 * The documents as they were in force at an instant, from the facts alone; other facts are passed over, and the
 * facts may come in any order. An adoption counts from when it was to take effect, but never from before it was
 * written down: what was charted earlier was charted under the document before. An adoption that this program
 * cannot read stays unused, is named, and the one before it holds.
 */
export function documentsInForce(facts: Iterable<AnyFact>, at: string): DocumentsInForce {
  const unused: UnusedAdoption[] = []
  const holding = new Map<DocumentName, InForce<DocumentName>>()
  for (const fact of inOrderOfEffect(facts)) {
    if (effectiveFrom(fact) > at) break
    const name = fact.about.document ?? ''
    const read = isDocumentName(name)
      ? readDocument(name, fact.body.content)
      : { ok: false as const, problems: [{ where: 'document', what: `there is no document ${name}` }] }
    if (!read.ok) unused.push({ factId: fact.id, document: name, problems: read.problems })
    else holding.set(name as DocumentName, { content: read.content, adopted: adoptionOf(fact) })
  }
  const documents = Object.fromEntries(
    Object.entries(DOCUMENTS).map(([name, kind]) => [
      name,
      holding.get(name as DocumentName) ?? { content: kind.defaults, adopted: null },
    ]),
  )
  return { documents: documents as DocumentsInForce['documents'], unused }
}

function inOrderOfEffect(facts: Iterable<AnyFact>): Adoption[] {
  const once = new Map<string, Adoption>()
  for (const fact of facts) if (fact.kind === 'document-adopted') once.set(fact.id, fact)
  const byEffect = (a: Adoption, b: Adoption) => {
    const [first, second] = [effectiveFrom(a), effectiveFrom(b)]
    return first < second ? -1 : first > second ? 1 : 0
  }
  return inOrder(once.values()).sort(byEffect)
}

function effectiveFrom(fact: Adoption): string {
  const ahead = fact.happenedAt > fact.recordedAt
  return ahead ? fact.happenedAt : fact.recordedAt
}

function adoptionOf(fact: Adoption): InForce<DocumentName>['adopted'] {
  const { edition, approvedBy } = fact.body
  return { factId: fact.id, edition, approvedBy, from: effectiveFrom(fact) }
}
