import { useState } from 'react'
import { coarseFindings, drawnUp } from '../../../chart/bedside/draw-up.ts'
import { useNewId } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Figure } from '../../parts/figure.tsx'
import { Strip } from '../../parts/strip.tsx'
import { AnswerFindings, type Answers, unanswered } from './answer-findings.tsx'
import type { Bedside } from './bedside.ts'
import { CupPicture } from './cup-picture.tsx'
import { useDesk } from './desk.ts'
import { LabelSheet } from './label-sheet.tsx'
import { SyringeRows } from './syringe-rows.tsx'

/** How many milliliters of what, in which order, with the arithmetic a press away and the cup drawn to scale. */
export function PrepareStage({ bedside, maxMl }: { readonly bedside: Bedside; readonly maxMl: number }) {
  const { act } = useDesk()
  const [answers, setAnswers] = useState<Answers>({})
  const [syringes, setSyringes] = useState<Readonly<Record<string, string>>>({})
  const newId = useNewId()
  const [labelCode] = useState(() => newId().slice(-10).toUpperCase())
  const [labeling, setLabeling] = useState<'no' | 'open' | 'printed'>('no')
  const view = bedside.prepare()
  if ('refused' in view) {
    return (
      <Strip kind="halt" word="The volume cannot be worked out.">
        {view.refused} Nothing was assumed. Ask the pharmacist or the prescriber, or chart the dose as not
        given.
      </Strip>
    )
  }
  const drawn = drawnUp(view.volumes, syringes)
  const findings = [...view.findings, ...coarseFindings(drawn)]
  const open = unanswered(findings, answers)
  const done = () =>
    act('prepared', {
      portions: view.portions,
      totalMl: view.totalMl.value,
      targetFillMl: view.targetFillMl,
      answered: findings
        .filter(({ severity }) => severity !== 'note')
        .map(({ code, what }) => ({ code, what, answer: answers[code] ?? '' })),
      ...(labeling === 'printed' && { labelCode }),
    })
  return (
    <div className="stack stack-wide">
      <div className="side-by-side">
        <CupPicture portions={view.portions} maxMl={maxMl} />
        <div className="stack">
          {view.volumes.map(({ text, worked }) => (
            <Figure key={text} name={text} worked={worked} digits={3} />
          ))}
          <Figure name="In the cup" worked={view.totalMl} digits={3} />
        </div>
      </div>
      <SyringeRows
        drawn={drawn}
        onChoose={(text, syringe) => setSyringes({ ...syringes, [text]: syringe })}
      />
      {view.order.length > 1 && <p>Into the cup in this order: {view.order.join(', then ')}.</p>}
      <AnswerFindings findings={findings} answers={answers} onChange={setAnswers} />
      {labeling === 'printed' && (
        <Strip kind="note" word="Labeled.">
          {labelCode} was printed. It is asked for before the treatment starts.
        </Strip>
      )}
      <div className="row row-apart">
        <Button gloved isDisabled={open > 0 || labeling === 'printed'} onPress={() => setLabeling('open')}>
          Label for the cup
        </Button>
        <Button tone="primary" gloved isDisabled={open > 0} onPress={done}>
          {open > 0 ? `Answer ${open} first` : 'It is in the cup'}
        </Button>
      </div>
      <LabelSheet
        bedside={bedside}
        isOpen={labeling === 'open'}
        onClose={() => setLabeling('no')}
        onPrinted={() => setLabeling('printed')}
        labelCode={labelCode}
        cup={{ portions: view.portions, totalMl: view.totalMl.value }}
      />
    </div>
  )
}
