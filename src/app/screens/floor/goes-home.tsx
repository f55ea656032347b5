import { useState } from 'react'
import { mayWrite } from '../../../chart/permissions.ts'
import { useChart, useMe, useRecord } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Table } from '../../parts/table.tsx'
import { ChangeList } from '../../planning/change-list.tsx'
import type { Answer, GoesHomeAnswer } from '../../planning/messages.ts'
import type { PlanPicture } from '../../planning/plan-picture.ts'
import { usePlanner } from '../../planning/use-planner.ts'
import { BesideThreads } from './beside-threads.tsx'
import { PeopleCurve } from './people-curve.tsx'

type GoesHomeProps = { readonly picture: PlanPicture; readonly minute: (at: number) => string }

/** What becomes of the plan if somebody goes home at some hour, beside the plan as it is. */
export function GoesHome({ picture, minute }: GoesHomeProps) {
  const planner = usePlanner()
  const [isOpen, setOpen] = useState(false)
  const [who, setWho] = useState<string | null>(null)
  const [at, setAt] = useState<string | null>(null)
  const [answer, setAnswer] = useState<Answer<'goes home'> | null>(null)
  const last = (Date.parse(picture.to) - Date.parse(picture.from)) / 60_000
  const first = Math.floor(picture.now / 60) * 60 + 60
  const hours = Array.from({ length: Math.max(0, (last - first) / 60) }, (_, i) => String(first + i * 60))
  const look = async (therapist: string | null, when: string | null) => {
    setWho(therapist)
    setAt(when)
    if (therapist === null || when === null) return
    setAnswer(
      await planner.ask({
        what: 'goes home',
        therapist,
        at: when === NOW ? picture.now : Number(when),
      }),
    )
  }
  return (
    <>
      <Button gloved onPress={() => setOpen(true)}>
        What if one goes home?
      </Button>
      <Sheet title="If one of us goes home" isOpen={isOpen} onClose={() => setOpen(false)}>
        <div className="stack">
          <Choice
            label="Who"
            options={picture.columns.map(({ id, name }) => ({ value: id, label: name }))}
            value={who}
            onChange={(id) => void look(id, at)}
            tileRem={10}
          />
          <Choice
            label="When"
            options={[
              { value: NOW, label: 'Now' },
              ...hours.map((value) => ({ value, label: minute(Number(value)) })),
            ]}
            value={at}
            onChange={(when) => void look(who, when)}
            tileRem={7}
          />
          {answer && !answer.ok && <p>{`${answer.what} ${answer.todo}`}</p>}
          {answer?.ok && (
            <Compared answer={answer.value} picture={picture} minute={minute} onDone={() => setOpen(false)} />
          )}
        </div>
      </Sheet>
    </>
  )
}

const NOW = 'now'

/** The two plans beside each other: figures, threads, hands by the hour, promises. */
function Compared({
  answer,
  picture,
  minute,
  onDone,
}: {
  readonly answer: GoesHomeAnswer
  readonly picture: PlanPicture
  readonly minute: (at: number) => string
  readonly onDone: () => void
}) {
  const until = (Date.parse(picture.to) - Date.parse(picture.from)) / 60_000
  return (
    <>
      <Table
        caption={`The plan now, and if ${answer.name} goes home at ${answer.at}`}
        columns={[
          { name: '', cell: ({ what }) => what },
          { name: 'Now', cell: (row) => row.now, figures: true },
          { name: 'Then', cell: (row) => row.otherwise, figures: true },
        ]}
        rows={answer.rows}
        keyOf={({ what }) => what}
        none=""
      />
      <BesideThreads answer={answer} from={picture.now} until={until} clock={minute} />
      <PeopleCurve
        title={`Hands by the hour if ${answer.name} goes home`}
        hours={answer.hours}
        otherWords="at work in the plan now"
      />
      <h3>Promises</h3>
      <ChangeList changes={answer.changes} />
      <WriteItDown answer={answer} onDone={onDone} />
    </>
  )
}

/** Going home is put on the record as the end of the shift that was assigned; every tablet then plans without her. */
function WriteItDown({ answer, onDone }: { readonly answer: GoesHomeAnswer; readonly onDone: () => void }) {
  const chart = useChart()
  const me = useMe()
  const record = useRecord()
  const { therapist, name, instant, at } = answer
  const shift = chart
    .person(therapist)
    ?.shifts.filter(({ from, to }) => from <= instant && to >= instant)
    .at(-1)
  if (!mayWrite(me.role, 'shift-assigned') || !shift)
    return <p className="quiet">Nothing is kept by looking. The lead writes down who goes home.</p>
  const write = async () => {
    await record('shift-assigned', { personId: therapist }, { ...shift, to: instant })
    onDone()
  }
  return (
    <div className="row">
      <Button gloved tone="primary" onPress={write}>
        {name} goes home at {at}: write it down
      </Button>
      <Button gloved onPress={onDone}>
        Only looking
      </Button>
    </div>
  )
}
