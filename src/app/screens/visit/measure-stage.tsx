import { useState } from 'react'
import { lastMeasured, measureDemands } from '../../../chart/stages/measure.ts'
import { Button } from '../../parts/button.tsx'
import { Figure } from '../../parts/figure.tsx'
import type { Bedside } from './bedside.ts'
import { useDesk } from './desk.ts'
import { type MeasuredDraft, MeasurementsForm } from './measurements-form.tsx'
import type { RuleFor } from './number-rules.ts'

/** The state before the treatment, with the early-warning score or the age's ranges computed as it is entered. */
export function MeasureStage({ bedside, rules }: { readonly bedside: Bedside; readonly rules: RuleFor }) {
  const { visit, patient, act } = useDesk()
  const kept = lastMeasured(visit, 'before')
  const [draft, setDraft] = useState<MeasuredDraft>(
    kept ?? {
      values: { ...(patient.oxygen && { spo2On: patient.oxygen }) },
      notMeasured: [],
      confirmedOdd: [],
    },
  )
  const open = measureDemands({ when: 'before', ...draft }, 'before').filter(({ met }) => !met)
  const score = bedside.score(draft.values)
  return (
    <div className="stack stack-wide">
      <MeasurementsForm when="before" draft={draft} onChange={setDraft} rules={rules} />
      {score && (
        <div className="row">
          <Figure name={score.name} worked={score.worked} digits={2} />
          <p>{score.words}</p>
        </div>
      )}
      <div className="row row-apart">
        <p className="quiet">
          {open.length > 0 &&
            `Still to do: ${open.map(({ what }) => what.replace(', or why not', '')).join(', ')}`}
        </p>
        <Button
          tone="primary"
          gloved
          isDisabled={open.length > 0}
          onPress={() => act('measured', { when: 'before', ...draft })}
        >
          Keep these
        </Button>
      </div>
    </div>
  )
}
