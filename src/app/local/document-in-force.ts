import type { DocumentKind } from '../../chart/documents/document-kind.ts'
import type { AdoptedDocument } from '../../chart/folds/documents.ts'

type Adopted = readonly AdoptedDocument[]

/** What was read of adoptions, by kind: every row of a screen may ask, and reading a document takes a while. */
const known = new WeakMap<object, WeakMap<Adopted, unknown>>()

/** A document as it is in force: the last one adopted that can be read, else what the program brings. */
export function documentInForce<Content>(kind: DocumentKind<string, Content>, adopted: Adopted): Content {
  const ofKind = known.get(kind) ?? new WeakMap<Adopted, unknown>()
  known.set(kind, ofKind)
  if (!ofKind.has(adopted)) ofKind.set(adopted, readLast(kind, adopted))
  return ofKind.get(adopted) as Content
}

function readLast<Content>(kind: DocumentKind<string, Content>, adopted: Adopted): Content {
  for (const { content } of adopted.toReversed()) {
    const read = kind.schema.safeParse(content)
    if (read.success && kind.check(read.data).length === 0) return read.data
  }
  return kind.defaults
}
