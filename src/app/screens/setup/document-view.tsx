import { DOCUMENTS, type DocumentName } from '../../../chart/documents/documents.ts'
import type { DocumentsInForce } from '../../../chart/documents/documents-in-force.ts'
import { mayWrite } from '../../../chart/permissions.ts'
import { useChart, useMe } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Strip } from '../../parts/strip.tsx'
import { Table } from '../../parts/table.tsx'
import { Sources } from '../../parts/working.tsx'
import { Screen } from '../../shell/screen.tsx'
import { DocumentReading, hasForm } from './document-content.tsx'
import { asText, type Draft } from './document-draft.ts'
import { DocumentEditor } from './document-editor.tsx'
import { InForceWords } from './document-list.tsx'
import { useDayAndTime } from './use-documents-in-force.ts'

type DocumentViewProps = {
  readonly name: DocumentName
  readonly inForce: DocumentsInForce
  readonly draft: Draft | null
  readonly onDraft: (draft: Draft | null) => void
  readonly onBack: () => void
}

/** One document: what is in force and by whom, what it says, what it rests on, and its editions so far. */
export function DocumentView({ name, inForce, draft, onDraft, onBack }: DocumentViewProps) {
  const me = useMe()
  const { content, adopted } = inForce.documents[name]
  const mayAdopt = mayWrite(me.role, 'document-adopted')
  return (
    <Screen title={DOCUMENTS[name].title} about="a document of the department">
      <div className="row row-apart">
        <p className="measure">
          <InForceWords adopted={adopted} />
        </p>
        <Button onPress={onBack}>All documents</Button>
      </div>
      {inForce.unused
        .filter(({ document }) => document === name)
        .map(({ factId, problems }) => (
          <Strip key={factId} kind="caution" word="An adoption cannot be used.">
            {problems.map(({ where, what }) => `${where}: ${what}`).join('; ')}. What was in force before it
            holds; adopt a corrected edition.
          </Strip>
        ))}
      {mayAdopt && draft === null && (
        <div className="row">
          {hasForm(name) && (
            <Button gloved onPress={() => onDraft({ kind: 'form', content })}>
              Change it
            </Button>
          )}
          <Button gloved onPress={() => onDraft({ kind: 'text', text: asText(content) })}>
            Edit as text
          </Button>
        </div>
      )}
      {!mayAdopt && <p className="quiet">A lead or an administrator may adopt a new edition.</p>}
      {draft === null ? (
        <DocumentReading name={name} content={content} />
      ) : (
        <DocumentEditor name={name} inForce={inForce} draft={draft} onDraft={onDraft} />
      )}
      <Sources
        sources={content.sources.map((source) => ({ ...source, cite: `${source.key}: ${source.cite}` }))}
      />
      <Editions name={name} />
    </Screen>
  )
}

/** Every edition that was adopted, the newest first. */
function Editions({ name }: { readonly name: DocumentName }) {
  const chart = useChart()
  const dayAndTime = useDayAndTime()
  const editions = chart.adoptions(name).toReversed()
  if (editions.length === 0) return null
  return (
    <Table
      caption="Editions adopted"
      none="None."
      rows={editions}
      keyOf={({ factId }) => factId}
      columns={[
        { name: 'Edition', cell: ({ edition }) => <Together text={edition} /> },
        { name: 'Adopted', cell: ({ at }) => <Together text={dayAndTime(at)} /> },
        { name: 'Approved by', cell: ({ approvedBy }) => approvedBy },
        { name: 'Entered by', cell: ({ factId }) => chart.fact(factId)?.by.personId ?? '' },
        { name: 'Note', cell: ({ note }) => note },
      ]}
    />
  )
}

/** Short words that a narrow column must not part. */
function Together({ text }: { readonly text: string }) {
  return <span className={text.length <= 20 ? 'setup-together' : undefined}>{text}</span>
}
