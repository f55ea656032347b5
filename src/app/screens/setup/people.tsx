import { useCallback, useEffect, useState } from 'react'
import { PeopleList } from '../../../api/schemas.ts'
import { mayDo } from '../../../chart/permissions.ts'
import { useChart, useGet, useMe, useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Strip } from '../../parts/strip.tsx'
import { Table } from '../../parts/table.tsx'
import { NewPersonSheet } from './new-person-sheet.tsx'
import { peopleRows, presentOrNextShift } from './people-rows.ts'
import { PersonSheet } from './person-sheet.tsx'
import { useDayAndTime } from './use-documents-in-force.ts'

type Listed = Parameters<typeof peopleRows>[0]

/** Who works here: who may sign in, what each is signed off for, and the shift they are on or have next. */
export function People() {
  const chart = useChart()
  const me = useMe()
  const now = useNow(60_000)
  const dayAndTime = useDayAndTime()
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
      <Table
        caption="The people of the department"
        captionUnseen
        none="Nobody is on record yet."
        rows={rows}
        keyOf={({ personId }) => personId}
        columns={[
          { name: 'Name', heads: true, cell: ({ name }) => name },
          { name: 'Role', cell: ({ role, active }) => (active ? role : `${role}, may not sign in`) },
          { name: 'Signed off for', cell: ({ signedOffFor }) => signedOffFor.join(', ') || 'nothing yet' },
          {
            name: 'Shift',
            cell: (row) => {
              const shift = presentOrNextShift(row, now)
              return shift
                ? `${dayAndTime(shift.from)}, ${shift.units.join(', ') || 'all units'}`
                : 'none ahead'
            },
          },
          {
            name: 'Open',
            cell: ({ personId, name }) => (
              <Button onPress={() => setOpen(personId)} aria-label={`Open ${name}`}>
                Open
              </Button>
            ),
          },
        ]}
      />
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
