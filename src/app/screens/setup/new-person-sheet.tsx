import { useState } from 'react'
import { NewPerson } from '../../../api/schemas.ts'
import { ROLES, type Role } from '../../../chart/fact.ts'
import { usePost } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { problemAt } from './document-draft.ts'
import { Done } from './done.ts'
import { SignOffs } from './sign-offs.tsx'

type NewPersonSheetProps = {
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly onAdded: () => void
}

/** Adds somebody who may sign in. The server must be there: nobody can be added without it. */
export function NewPersonSheet({ isOpen, onClose, onAdded }: NewPersonSheetProps) {
  const post = usePost()
  const [personId, setPersonId] = useState('')
  const [name, setName] = useState('')
  const [role, setRole] = useState<Role | null>(null)
  const [signedOffFor, setSignedOffFor] = useState<readonly string[]>([])
  const [password, setPassword] = useState('')
  const [busy, setBusy] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  const read = NewPerson.safeParse({ personId, name, role, signedOffFor, password })
  const problems = (read.error?.issues ?? []).map(({ path, message }) => ({
    where: path.join('.'),
    what: message,
  }))
  const add = async () => {
    if (!read.success) return
    setBusy(true)
    const reply = await post('/api/people', read.data, Done)
    setBusy(false)
    if (reply.ok) onAdded()
    else setProblem(`${reply.what} ${reply.todo}`)
  }
  return (
    <Sheet
      title="Add somebody"
      isOpen={isOpen}
      onClose={onClose}
      foot={
        <Button tone="primary" gloved isDisabled={!read.success} isPending={busy} onPress={add}>
          Add
        </Button>
      }
    >
      <div className="stack">
        <TextEntry label="Name, as it is printed" maxLength={200} value={name} onChange={setName} />
        <TextEntry
          label="Signs in as"
          hint="Small letters, digits and _, beginning with a letter."
          autoComplete="off"
          value={personId}
          onChange={setPersonId}
          problem={personId === '' ? undefined : problemAt(problems, 'personId')}
        />
        <Choice
          label="Role"
          options={ROLES.filter((each) => each !== 'system').map((each) => ({ value: each, label: each }))}
          value={role}
          onChange={setRole}
        />
        <SignOffs value={signedOffFor} onChange={setSignedOffFor} />
        <TextEntry
          label="First password"
          hint="At least 15 characters; a few words in a row will do."
          type="password"
          autoComplete="new-password"
          value={password}
          onChange={setPassword}
        />
        {problem !== null && (
          <Strip kind="halt" word="Not added." spoken>
            {problem}
          </Strip>
        )}
      </div>
    </Sheet>
  )
}
