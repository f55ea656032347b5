import { DOCUMENTS, type DocumentName } from '../../../chart/documents/documents.ts'
import type { DocumentsInForce } from '../../../chart/documents/documents-in-force.ts'
import { Button } from '../../parts/button.tsx'
import { KindMark } from '../../parts/strip.tsx'
import type { Draft } from './document-draft.ts'
import { sourceCount } from './source-count.ts'
import { useDayAndTime } from './use-documents-in-force.ts'

type Adopted = DocumentsInForce['documents'][DocumentName]['adopted']

type DocumentListProps = {
  readonly inForce: DocumentsInForce
  readonly drafts: ReadonlyMap<DocumentName, Draft>
  readonly onOpen: (name: DocumentName) => void
}

/** Every document of the department: what is in force, since when, by whom, and what it rests on. */
export function DocumentList({ inForce, drafts, onOpen }: DocumentListProps) {
  const names = Object.keys(DOCUMENTS) as DocumentName[]
  return (
    <ul className="lines">
      {names.map((name) => (
        <li key={name} className="setup-entry">
          <div>
            <h3 className="strong">{DOCUMENTS[name].title}</h3>
            <p className="quiet">
              <InForceWords adopted={inForce.documents[name].adopted} />
            </p>
            <p className="quiet small">{sourceCount(inForce.documents[name].content.sources)}</p>
            {drafts.has(name) && <Remark>Being changed here, not adopted yet.</Remark>}
            {inForce.unused.some((each) => each.document === name) && (
              <Remark>An adoption of it cannot be used.</Remark>
            )}
          </div>
          <Button onPress={() => onOpen(name)} aria-label={`Open ${DOCUMENTS[name].title}`}>
            Open
          </Button>
        </li>
      ))}
    </ul>
  )
}

/** Which edition holds, since when and by whose approval; or that the department has not adopted one. */
export function InForceWords({ adopted }: { readonly adopted: Adopted }) {
  const dayAndTime = useDayAndTime()
  if (!adopted) return 'As the program brings it: an example until the department adopts its own.'
  return `Edition ${adopted.edition}, in force since ${dayAndTime(adopted.from)}, approved by ${adopted.approvedBy}.`
}

function Remark({ children }: { readonly children: string }) {
  return (
    <p className="setup-remark">
      <KindMark kind="caution" /> {children}
    </p>
  )
}
