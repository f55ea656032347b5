import { useState } from 'react'
import { spoken } from '../../../chart/stages/door.ts'
import { Button } from '../../parts/button.tsx'
import { MultiChoice } from '../../parts/multi-choice.tsx'
import { Strip } from '../../parts/strip.tsx'
import { AnswerFindings, type Answers, unanswered } from './answer-findings.tsx'
import type { Bedside } from './bedside.ts'
import { useDesk } from './desk.ts'

type DoorStageProps = { readonly bedside: Bedside; readonly onNotGiven: () => void }

/** At the door: is the order in force, what speaks against it, what to put on, what to bring. */
export function DoorStage({ bedside, onNotGiven }: DoorStageProps) {
  const { act } = useDesk()
  const { door } = bedside
  const [answers, setAnswers] = useState<Answers>({})
  const { putOn } = door.precautions
  const [on, setOn] = useState<readonly string[]>([])
  const active = door.orderStatus === 'active'
  const open = unanswered(door.findings, answers)
  const ready = active && open === 0 && putOn.every((item) => on.includes(item))
  const goIn = () =>
    act('door-checked', {
      orderActive: active,
      minutesSinceLastDose: door.minutesSinceLastDose,
      findings: door.findings
        .filter(({ severity }) => severity !== 'note')
        .map(({ code, what }) => ({ code, what, answer: answers[code] ?? '' })),
      precautions: [...door.precautions.names],
      putOn: [...putOn],
      equipment: [...door.equipment],
    })
  return (
    <div className="stack stack-wide">
      {active ? (
        <p className="voice">
          The order is in force.{' '}
          {door.minutesSinceLastDose === null
            ? 'No dose is on record before this one.'
            : `${spoken(door.minutesSinceLastDose)} since the last dose.`}
        </p>
      ) : (
        <Strip kind="halt" word={`The order is ${door.orderStatus}.`}>
          Do not give it. Chart the dose as not given, or leave it if it is no longer due.
        </Strip>
      )}
      <AnswerFindings findings={door.findings} answers={answers} onChange={setAnswers} />
      {door.precautions.names.length > 1 && (
        <Strip kind="caution" word={`Precautions: ${door.precautions.names.join(', ')}.`}>
          {door.precautions.rooms.join('; ')}
        </Strip>
      )}
      {putOn.length > 0 && (
        <MultiChoice
          label="Put on, in this order"
          options={putOn.map((item, index) => ({ value: item, label: `${index + 1}. ${item}` }))}
          value={on}
          onChange={setOn}
          tileRem={14}
        />
      )}
      <div>
        <h3>Bring</h3>
        <p>{door.equipment.join(', ')}</p>
      </div>
      <div className="row row-apart">
        <Button gloved onPress={onNotGiven}>
          Not given
        </Button>
        <Button tone="primary" gloved isDisabled={!ready} onPress={goIn}>
          {ready
            ? 'Go in'
            : open > 0
              ? `Answer ${open} first`
              : active
                ? 'Put on first'
                : 'Order not in force'}
        </Button>
      </div>
    </div>
  )
}
