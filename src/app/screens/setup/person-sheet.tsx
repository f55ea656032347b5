import { useState } from 'react'
import { mayDo } from '../../../chart/permissions.ts'
import { useMe, usePost, useRecord } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import { Done } from './done.ts'
import type { PersonRow } from './people-rows.ts'
import { ShiftForm } from './shift-form.tsx'
import { SignOffs } from './sign-offs.tsx'
import { useDayAndTime } from './use-documents-in-force.ts'

type PersonSheetProps = {
  readonly person: PersonRow | null
  readonly people: readonly PersonRow[]
  readonly onClose: () => void
  /** The server's list is to be asked for anew. */
  readonly onChanged: () => void
}

/** One person: what they are signed off for, their shifts, and whether they may sign in. */
export function PersonSheet({ person, people, onClose, onChanged }: PersonSheetProps) {
  return (
    <Sheet title={person?.name ?? ''} isOpen={person !== null} onClose={onClose}>
      {person && (
        <div className="stack stack-wide">
          <p className="quiet">
            {person.role}, signs in as {person.personId}
          </p>
          <KeepSignOffs person={person} onKept={onClose} />
          <Shifts person={person} people={people} />
          <Access person={person} onChanged={onChanged} />
        </div>
      )}
    </Sheet>
  )
}

function KeepSignOffs({ person, onKept }: { readonly person: PersonRow; readonly onKept: () => void }) {
  const record = useRecord()
  const [skills, setSkills] = useState<readonly string[]>(person.signedOffFor)
  const same = [...skills].sort().join('\n') === [...person.signedOffFor].sort().join('\n')
  const keep = async () => {
    const { personId, name, role, active } = person
    await record('staff-recorded', { personId }, { name, role, active, signedOffFor: [...skills] })
    onKept()
  }
  return (
    <section className="stack">
      <SignOffs value={skills} onChange={setSkills} />
      <div>
        <Button tone="primary" gloved isDisabled={same} onPress={keep}>
          Keep the sign-offs
        </Button>
      </div>
    </section>
  )
}

function Shifts({ person, people }: { readonly person: PersonRow; readonly people: readonly PersonRow[] }) {
  const dayAndTime = useDayAndTime()
  const recent = person.shifts.slice(-5).toReversed()
  return (
    <section className="stack">
      <h3 className="voice-head">Shifts</h3>
      {recent.length === 0 && <p className="quiet">None given yet.</p>}
      <ul className="lines">
        {recent.map(({ from, to, units, beside }) => (
          <li key={`${from} ${to}`}>
            {dayAndTime(from)} to {dayAndTime(to)}, {units.join(', ') || 'all units'}
            {beside !== undefined && `, beside ${beside}`}
          </li>
        ))}
      </ul>
      <ShiftForm person={person} people={people} />
    </section>
  )
}

function Access({ person, onChanged }: { readonly person: PersonRow; readonly onChanged: () => void }) {
  const me = useMe()
  const post = usePost()
  const [busy, setBusy] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  if (!mayDo(me.role, 'change people') || person.personId === me.personId) return null
  const change = async () => {
    setBusy(true)
    const reply = await post(
      '/api/people/active',
      { personId: person.personId, active: !person.active },
      Done,
    )
    setBusy(false)
    setProblem(reply.ok ? null : `${reply.what} ${reply.todo}`)
    if (reply.ok) onChanged()
  }
  return (
    <section className="stack">
      <h3 className="voice-head">{person.active ? 'May sign in' : 'May not sign in'}</h3>
      {problem !== null && (
        <Strip kind="caution" word="Not changed." spoken>
          {problem}
        </Strip>
      )}
      <div>
        <Button gloved tone={person.active ? 'halt' : 'plain'} isPending={busy} onPress={change}>
          {person.active ? 'Let in no more' : 'Let in again'}
        </Button>
      </div>
    </section>
  )
}
