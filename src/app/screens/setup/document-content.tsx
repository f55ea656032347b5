import type { DocumentProblem } from '../../../chart/documents/document-kind.ts'
import type { DocumentContent, DocumentName } from '../../../chart/documents/documents.ts'
import { FormularyView } from './formulary-view.tsx'
import { SiteForm } from './site-form.tsx'
import { StandardTimesForm } from './standard-times-form.tsx'
import { StandardTimesView } from './standard-times-view.tsx'
import { StructuredView } from './structured-view.tsx'
import { WindowsForm } from './windows-form.tsx'
import { WindowsView } from './windows-view.tsx'

/** Whether a document can be changed by a form; the others are changed as text. */
export function hasForm(name: DocumentName): boolean {
  return name === 'site' || name === 'standard-times' || name === 'windows'
}

/** A document to be read, by a view of its own where it has one. */
export function DocumentReading({
  name,
  content,
}: {
  readonly name: DocumentName
  readonly content: DocumentContent<DocumentName>
}) {
  if (name === 'standard-times') {
    return <StandardTimesView content={content as DocumentContent<'standard-times'>} />
  }
  if (name === 'formulary') return <FormularyView content={content as DocumentContent<'formulary'>} />
  if (name === 'windows') return <WindowsView content={content as DocumentContent<'windows'>} />
  return <StructuredView content={content} />
}

type DocumentFormProps = {
  readonly name: DocumentName
  /** Of the document's shape: a draft begins as a document that was read, and forms keep the shape. */
  readonly content: unknown
  readonly problems: readonly DocumentProblem[]
  readonly onChange: (content: unknown) => void
}

/** A document to be changed by its form. */
export function DocumentForm({ name, content, ...rest }: DocumentFormProps) {
  if (name === 'site') return <SiteForm content={content as DocumentContent<'site'>} {...rest} />
  if (name === 'standard-times') {
    return <StandardTimesForm content={content as DocumentContent<'standard-times'>} {...rest} />
  }
  return <WindowsForm content={content as DocumentContent<'windows'>} {...rest} />
}
