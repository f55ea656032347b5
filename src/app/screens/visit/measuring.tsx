import type { ReactNode } from 'react'
import type { Measurements } from '../../../chart/facts/measurements.ts'
import { measureDemands } from '../../../chart/stages/measure.ts'
import { Button } from '../../parts/button.tsx'
import { useDesk } from './desk.ts'
import { type MeasuredDraft, MeasurementsForm } from './measurements-form.tsx'
import type { RuleFor } from './number-rules.ts'

type MeasuringProps = {
  readonly when: 'before' | 'after'
  readonly draft: MeasuredDraft
  readonly onChange: (draft: MeasuredDraft) => void
  readonly rules: RuleFor
  /** The set before the treatment, shown beside the new one. */
  readonly before?: Measurements | undefined
  /** What is computed from the draft, under the form. */
  readonly children?: ReactNode
}

/** A set of measurements as it is entered, what is still missing, and the button that keeps it once nothing is. */
export function Measuring({ when, draft, onChange, rules, before, children }: MeasuringProps) {
  const { act } = useDesk()
  const open = measureDemands({ when, ...draft }, when).filter(({ met }) => !met)
  return (
    <div className="stack stack-wide">
      <MeasurementsForm when={when} draft={draft} onChange={onChange} rules={rules} before={before} />
      {children}
      <div className="row row-apart">
        <p className="quiet">
          {open.length > 0 &&
            `Still to do: ${open.map(({ what }) => what.replace(', or why not', '')).join(', ')}`}
        </p>
        <Button
          tone="primary"
          gloved
          isDisabled={open.length > 0}
          onPress={() => act('measured', { when, ...draft })}
        >
          Keep these
        </Button>
      </div>
    </div>
  )
}
