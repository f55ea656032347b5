import { useCallback, useEffect, useState } from 'react'
import { PeopleList } from '../../../api/schemas.ts'
import { mayDo } from '../../../chart/permissions.ts'
import { useChart, useGet, useMe, useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Strip } from '../../parts/strip.tsx'
import { NewPersonSheet } from './new-person-sheet.tsx'
import { type PersonRow, peopleRows, presentOrNextShift } from './people-rows.ts'
import { PersonSheet } from './person-sheet.tsx'
import { useDayAndTime } from './use-documents-in-force.ts'

type Listed = Parameters<typeof peopleRows>[0]

/** Who works here: who may sign in, what each is signed off for, and the shift they are on or have next. */
export function People() {
  const chart = useChart()
  const me = useMe()
  const now = useNow(60_000)
  const { listed, problem, reload } = useListed()
  const [open, setOpen] = useState<string | null>(null)
  const [adding, setAdding] = useState(false)
  const rows = peopleRows(listed, chart.staff())
  return (
    <section className="stack" aria-labelledby="people-title">
      <div className="row row-apart">
        <h2 id="people-title" className="voice-head">
          People
        </h2>
        {mayDo(me.role, 'change people') && (
          <Button gloved onPress={() => setAdding(true)}>
            Add somebody
          </Button>
        )}
      </div>
      {problem !== null && (
        <Strip kind="caution" word="Not renewed." action={<Button onPress={reload}>Ask again</Button>}>
          {problem} Shown is what this tablet knows from the record.
        </Strip>
      )}
      {rows.length === 0 && <p className="quiet">Nobody is on record yet.</p>}
      <ul className="lines">
        {rows.map((person) => (
          <Person key={person.personId} person={person} now={now} onOpen={() => setOpen(person.personId)} />
        ))}
      </ul>
      <PersonSheet
        key={open ?? ''}
        person={rows.find(({ personId }) => personId === open) ?? null}
        people={rows}
        onClose={() => setOpen(null)}
        onChanged={reload}
      />
      <NewPersonSheet
        key={String(adding)}
        isOpen={adding}
        onClose={() => setAdding(false)}
        onAdded={() => {
          setAdding(false)
          reload()
        }}
      />
    </section>
  )
}

type PersonProps = { readonly person: PersonRow; readonly now: string; readonly onOpen: () => void }

function Person({ person, now, onOpen }: PersonProps) {
  const dayAndTime = useDayAndTime()
  const { name, role, active, signedOffFor } = person
  const shift = presentOrNextShift(person, now)
  const shiftWords = shift
    ? `${shift.from <= now ? 'on shift since' : 'next shift from'} ${dayAndTime(shift.from)}, ${shift.units.join(', ') || 'all units'}`
    : 'no shift ahead'
  return (
    <li className="setup-entry">
      <div>
        <h3 className="strong">{name}</h3>
        <p className="quiet">
          {role}
          {!active && ', may not sign in'} · signed off for {signedOffFor.join(', ') || 'nothing yet'}
        </p>
        <p className="quiet small">{shiftWords}</p>
      </div>
      <Button onPress={onOpen} aria-label={`Open ${name}`}>
        Open
      </Button>
    </li>
  )
}

/** The server's list of people, asked for when the screen comes up and when something changed. */
function useListed(): { listed: Listed; problem: string | null; reload: () => void } {
  const get = useGet()
  const [listed, setListed] = useState<Listed>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const reload = useCallback(async () => {
    const reply = await get('/api/people', PeopleList)
    setProblem(reply.ok ? null : reply.what)
    if (reply.ok) setListed(reply.value.people)
  }, [get])
  useEffect(() => {
    void reload()
  }, [reload])
  return { listed, problem, reload }
}
