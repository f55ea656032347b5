import { useState } from 'react'
import type { Score } from '../../../chart/bedside/watch.ts'
import { lastMeasured } from '../../../chart/stages/measure.ts'
import { Figure } from '../../parts/figure.tsx'
import type { Bedside } from './bedside.ts'
import { useDesk } from './desk.ts'
import type { MeasuredDraft } from './measurements-form.tsx'
import { Measuring } from './measuring.tsx'
import type { RuleFor } from './number-rules.ts'

/** The state before the treatment, with the early-warning score or the age's ranges computed as it is entered. */
export function MeasureStage({ bedside, rules }: { readonly bedside: Bedside; readonly rules: RuleFor }) {
  const { visit, patient } = useDesk()
  const kept = lastMeasured(visit, 'before')
  const [draft, setDraft] = useState<MeasuredDraft>(
    kept ?? {
      values: { ...(patient.oxygen && { spo2On: patient.oxygen }) },
      notMeasured: [],
      confirmedOdd: [],
    },
  )
  const score = bedside.score(draft.values)
  return (
    <Measuring when="before" draft={draft} onChange={setDraft} rules={rules}>
      {score && <ScoreLine score={score} />}
    </Measuring>
  )
}

/** The early-warning score with its working, or how a child lies in the published ranges of the age. */
function ScoreLine({ score }: { readonly score: Score }) {
  if (score.kind === 'by age') return <p role="status">{score.words}</p>
  const { total, words } = score.news2
  return (
    <div className="row" role="status">
      {total && <Figure name="NEWS2" worked={total} unit="" />}
      <p>{words}</p>
    </div>
  )
}
