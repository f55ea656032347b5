import type { DocumentProblem } from '../../../chart/documents/document-kind.ts'
import { type DocumentName, type ReadDocument, readDocument } from '../../../chart/documents/documents.ts'

/** A document while somebody changes it: as its form has it, or as text. It need not be valid yet. */
export type Draft =
  | { readonly kind: 'form'; readonly content: unknown }
  | { readonly kind: 'text'; readonly text: string }

/** Reads a draft by the document's schema and checks; text that is no JSON is a problem like any other. */
export function readDraft<Name extends DocumentName>(name: Name, draft: Draft): ReadDocument<Name> {
  if (draft.kind === 'form') return readDocument(name, draft.content)
  try {
    return readDocument(name, JSON.parse(draft.text))
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error
    return { ok: false, problems: [{ where: 'text', what: `this is not JSON: ${error.message}` }] }
  }
}

/** The document as text that a person can edit. */
export function asText(content: unknown): string {
  return JSON.stringify(content, null, 2)
}

/** What is wrong with one field of a form, as a sentence; undefined when nothing is. */
export function problemAt(problems: readonly DocumentProblem[], where: string): string | undefined {
  const here = problems.filter((problem) => problem.where === where || problem.where.startsWith(`${where}.`))
  return here.length === 0 ? undefined : here.map(({ what }) => what).join('; ')
}
