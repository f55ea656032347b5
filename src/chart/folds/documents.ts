import type { AnyFact, BodyOf } from '../registry.ts'
import { standing } from './standing.ts'

export type AdoptedDocument = BodyOf<'document-adopted'> & { readonly at: string; readonly factId: string }

/** Every adoption of one document, oldest first; the last one before an instant was in force then. */
export function foldDocuments(facts: Iterable<AnyFact>): AdoptedDocument[] {
  return standing(facts)
    .filter((fact) => fact.kind === 'document-adopted')
    .map((fact) => ({ ...fact.body, at: fact.happenedAt, factId: fact.id }))
}
