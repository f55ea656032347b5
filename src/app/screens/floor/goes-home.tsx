import { useState } from 'react'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Table } from '../../parts/table.tsx'
import { ChangeList } from '../../planning/change-list.tsx'
import type { GoesHomeAnswer } from '../../planning/messages.ts'
import type { PlanPicture } from '../../planning/plan-picture.ts'
import { usePlanner } from '../../planning/use-planner.ts'
import { PeopleCurve } from './people-curve.tsx'

type GoesHomeProps = { readonly picture: PlanPicture; readonly minute: (at: number) => string }

/** What becomes of the plan if somebody goes home at some hour, beside the plan as it is. Nothing is kept by it. */
export function GoesHome({ picture, minute }: GoesHomeProps) {
  const planner = usePlanner()
  const [isOpen, setOpen] = useState(false)
  const [who, setWho] = useState<string | null>(null)
  const [answer, setAnswer] = useState<GoesHomeAnswer | null>(null)
  const last = (Date.parse(picture.to) - Date.parse(picture.from)) / 60_000
  const first = Math.ceil(picture.now / 60) * 60
  const hours = Array.from({ length: Math.max(0, (last - first) / 60) }, (_, i) => first + i * 60)
  const look = async (at: number) => {
    if (who === null) return
    const said = await planner.ask({ what: 'goes home', therapist: who, at })
    if (said.ok) setAnswer(said.value)
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
            onChange={setWho}
          />
          <Choice
            label="When"
            options={hours.map((at) => ({ value: String(at), label: minute(at) }))}
            value={null}
            onChange={(at) => void look(Number(at))}
            isDisabled={who === null}
            tileRem={6}
          />
          {answer && (
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
              <PeopleCurve
                title={`Hands by the hour if ${answer.name} goes home`}
                hours={answer.hours}
                otherWords="at work in the plan now"
              />
              <ChangeList changes={answer.changes} />
            </>
          )}
        </div>
      </Sheet>
    </>
  )
}
