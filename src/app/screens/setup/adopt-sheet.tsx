import { useState } from 'react'
import { DOCUMENTS, type DocumentContent, type DocumentName } from '../../../chart/documents/documents.ts'
import { useRecord } from '../../local/hooks.ts'
import { NotKept } from '../../local/local-store.ts'
import { Button } from '../../parts/button.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import type { Difference } from './differences.ts'

type AdoptSheetProps<Name extends DocumentName> = {
  readonly name: Name
  readonly content: DocumentContent<Name>
  readonly changes: readonly Difference[]
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly onAdopted: () => void
}

/** Puts a new edition into force: what changes, who approved it, and why. It holds from that moment on. */
export function AdoptSheet<Name extends DocumentName>(props: AdoptSheetProps<Name>) {
  const { name, content, changes, isOpen, onClose, onAdopted } = props
  const record = useRecord()
  const [edition, setEdition] = useState('')
  const [approvedBy, setApprovedBy] = useState('')
  const [note, setNote] = useState('')
  const [problem, setProblem] = useState<NotKept | null>(null)
  const adopt = async () => {
    try {
      await record(
        'document-adopted',
        { document: name },
        { edition: edition.trim(), content, approvedBy: approvedBy.trim(), note: note.trim() },
      )
    } catch (error) {
      if (!(error instanceof NotKept)) throw error
      return setProblem(error)
    }
    onAdopted()
  }
  const ready = edition.trim() !== '' && approvedBy.trim() !== ''
  return (
    <Sheet
      title={`Adopt: ${DOCUMENTS[name].title}`}
      isOpen={isOpen}
      onClose={onClose}
      foot={
        <Button tone="primary" gloved isDisabled={!ready} onPress={adopt}>
          Adopt from now on
        </Button>
      }
    >
      <div className="stack">
        <Changes changes={changes} />
        <TextEntry
          label="Edition"
          hint="A number or a date."
          maxLength={400}
          value={edition}
          onChange={setEdition}
        />
        <TextEntry
          label="Approved by"
          hint="The committee or person, as it will be asked for."
          maxLength={400}
          value={approvedBy}
          onChange={setApprovedBy}
        />
        <TextEntry label="Note" lines={3} maxLength={2000} value={note} onChange={setNote} />
        <p className="quiet small">What was charted before stays charted under the edition before.</p>
        {problem && (
          <Strip kind="halt" word="Not adopted." spoken>
            {problem.what} {problem.todo}
          </Strip>
        )}
      </div>
    </Sheet>
  )
}

function Changes({ changes }: { readonly changes: readonly Difference[] }) {
  return (
    <section className="stack stack-close">
      <h3 className="strong">
        {changes.length} change{changes.length === 1 ? '' : 's'}
      </h3>
      <ul className="lines">
        {changes.map(({ where, from, to }) => (
          <li key={where} className="setup-change">
            <p className="quiet small">{where}</p>
            <p>
              {from === null ? <span className="quiet">was not there</span> : <del>{from}</del>}
              {' → '}
              {to === null ? <span className="quiet">taken out</span> : <ins>{to}</ins>}
            </p>
          </li>
        ))}
      </ul>
    </section>
  )
}
