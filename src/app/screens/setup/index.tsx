import { useState } from 'react'
import type { DocumentName } from '../../../chart/documents/documents.ts'
import { mayDo } from '../../../chart/permissions.ts'
import { useMe } from '../../local/hooks.ts'
import { useHoldUpdates } from '../../shell/hold-updates.ts'
import { Screen } from '../../shell/screen.tsx'
import type { Draft } from './document-draft.ts'
import { DocumentList } from './document-list.tsx'
import { DocumentView } from './document-view.tsx'
import { People } from './people.tsx'
import { Tablets } from './tablets.tsx'
import { useDocumentsInForce } from './use-documents-in-force.ts'
import './setup.css'

/** What the department sets for itself: its documents, and its people with their sign-offs and shifts. */
export function Setup() {
  const me = useMe()
  const inForce = useDocumentsInForce()
  const [open, setOpen] = useState<DocumentName | null>(null)
  const [drafts, setDrafts] = useState<ReadonlyMap<DocumentName, Draft>>(new Map())
  useHoldUpdates(drafts.size > 0 ? 'a document of the department is being changed' : null)
  const keep = (name: DocumentName, draft: Draft | null) => {
    const next = new Map(drafts)
    if (draft === null) next.delete(name)
    else next.set(name, draft)
    setDrafts(next)
  }
  if (open !== null) {
    return (
      <DocumentView
        key={open}
        name={open}
        inForce={inForce}
        draft={drafts.get(open) ?? null}
        onDraft={(draft) => keep(open, draft)}
        onBack={() => setOpen(null)}
      />
    )
  }
  const all = Object.values(inForce.documents)
  const adopted = all.filter((document) => document.adopted !== null).length
  return (
    <Screen title="Setup" about="what the department sets for itself">
      <h2 className="voice-title">{sentence(adopted, all.length)}</h2>
      <DocumentList inForce={inForce} drafts={drafts} onOpen={setOpen} />
      {mayDo(me.role, 'read people') && <People />}
      {mayDo(me.role, 'end a tablet') && <Tablets />}
    </Screen>
  )
}

function sentence(adopted: number, all: number): string {
  if (adopted === all) return 'Every document is the department’s own.'
  if (adopted === 0) return `${all} documents, all still as the program brings them.`
  return `${adopted} of ${all} documents are the department’s own; the others are as the program brings them.`
}
