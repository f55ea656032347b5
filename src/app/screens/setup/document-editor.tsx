import { useState } from 'react'
import { checkedTogether } from '../../../chart/documents/checked-together.ts'
import type { DocumentProblem } from '../../../chart/documents/document-kind.ts'
import type { DocumentContent, DocumentName } from '../../../chart/documents/documents.ts'
import type { DocumentsInForce } from '../../../chart/documents/documents-in-force.ts'
import { Button } from '../../parts/button.tsx'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { AdoptSheet } from './adopt-sheet.tsx'
import { differences } from './differences.ts'
import { DocumentForm, hasForm } from './document-content.tsx'
import { asText, type Draft, readDraft } from './document-draft.ts'

type DocumentEditorProps = {
  readonly name: DocumentName
  readonly inForce: DocumentsInForce
  readonly draft: Draft
  readonly onDraft: (draft: Draft | null) => void
}

/** A document while it is changed: by form or as text, with everything that is wrong told before it can be adopted. */
export function DocumentEditor({ name, inForce, draft, onDraft }: DocumentEditorProps) {
  const [adopting, setAdopting] = useState(false)
  const read = readDraft(name, draft)
  const problems = read.ok ? [] : read.problems
  const changes = read.ok ? differences(inForce.documents[name].content, read.content) : []
  const misfits = read.ok ? misfitsOf(name, read.content, inForce) : []
  return (
    <section className="stack" aria-label="What is being changed">
      {draft.kind === 'form' ? (
        <DocumentForm
          name={name}
          content={draft.content}
          problems={problems}
          onChange={(content) => onDraft({ kind: 'form', content })}
        />
      ) : (
        <div className="setup-text">
          <TextEntry
            label="The document as text (JSON)"
            lines={20}
            spellCheck="false"
            value={draft.text}
            onChange={(text) => onDraft({ kind: 'text', text })}
          />
        </div>
      )}
      <ProblemList problems={problems} />
      {misfits.length > 0 && (
        <Strip kind="caution" word="Does not fit the other documents.">
          <ul>
            {misfits.map(({ where, what }) => (
              <li key={`${where} ${what}`}>
                {where}: {what}
              </li>
            ))}
          </ul>
        </Strip>
      )}
      <div className="row">
        <Button
          tone="primary"
          gloved
          isDisabled={!read.ok || changes.length === 0}
          onPress={() => setAdopting(true)}
        >
          Adopt…
        </Button>
        {draft.kind === 'form' && read.ok && (
          <Button gloved onPress={() => onDraft({ kind: 'text', text: asText(read.content) })}>
            Edit as text
          </Button>
        )}
        {draft.kind === 'text' && read.ok && hasForm(name) && (
          <Button gloved onPress={() => onDraft({ kind: 'form', content: read.content })}>
            Edit by form
          </Button>
        )}
        <Button gloved onPress={() => onDraft(null)}>
          Drop the changes
        </Button>
      </div>
      {read.ok && changes.length === 0 && <p className="quiet">Nothing is changed yet.</p>}
      {read.ok && (
        <AdoptSheet
          name={name}
          content={read.content}
          changes={changes}
          isOpen={adopting}
          onClose={() => setAdopting(false)}
          onAdopted={() => onDraft(null)}
        />
      )}
    </section>
  )
}

function ProblemList({ problems }: { readonly problems: readonly DocumentProblem[] }) {
  if (problems.length === 0) return null
  return (
    <Strip
      kind="halt"
      word={problems.length === 1 ? 'One thing is wrong.' : `${problems.length} things are wrong.`}
    >
      <ul>
        {problems.map(({ where, what }, at) => (
          <li key={`${where} ${what} ${String(at)}`}>
            <strong>{where || 'the whole'}</strong>: {what}
          </li>
        ))}
      </ul>
    </Strip>
  )
}

/** What the draft says that another document does not know. Told, not refused: documents are adopted one by one. */
function misfitsOf(
  name: DocumentName,
  content: DocumentContent<DocumentName>,
  { documents }: DocumentsInForce,
): readonly DocumentProblem[] {
  const all = { ...documents, [name]: { content, adopted: null } } as DocumentsInForce['documents']
  return checkedTogether(all)
}
