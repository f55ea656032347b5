import { useEffect, useState } from 'react'
import { createPortal } from 'react-dom'
import { fullName } from '../../../chart/folds/patient.ts'
import type { BodyOf } from '../../../chart/registry.ts'
import { useDayAndClock } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import type { Bedside } from './bedside.ts'
import { useDesk } from './desk.ts'
import './label-sheet.css'

type LabelSheetProps = {
  readonly bedside: Bedside
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly onPrinted: () => void
  readonly labelCode: string
  readonly cup: Pick<BodyOf<'prepared'>, 'portions' | 'totalMl'>
}

/** The label of the cup as it will be printed, and its printing. */
export function LabelSheet({ bedside, isOpen, onClose, onPrinted, labelCode, cup }: LabelSheetProps) {
  const { patient } = useDesk()
  if (patient.mrn === null) {
    return (
      <Sheet title="Label" place="middle" isOpen={isOpen} onClose={onClose}>
        <Strip kind="halt" word="No label can be made.">
          The census has no record number of this patient. Ask registration; until then give it without
          leaving it out of the hand.
        </Strip>
      </Sheet>
    )
  }
  return (
    <Sheet title="Label for the cup" place="middle" isOpen={isOpen} onClose={onClose}>
      {isOpen && <Preview bedside={bedside} labelCode={labelCode} cup={cup} onPrinted={onPrinted} />}
    </Sheet>
  )
}

function Preview({
  bedside,
  labelCode,
  cup,
  onPrinted,
}: Pick<LabelSheetProps, 'bedside' | 'labelCode' | 'cup' | 'onPrinted'>) {
  const { now, clock } = useDesk()
  // The time stands still while the label is looked at: what is printed is what was seen.
  const [preparedAt] = useState(now)
  const useBy = bedside.usableUntil(preparedAt)
  const [picture, setPicture] = useState<string | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  useEffect(() => {
    let gone = false
    void import('./data-matrix.ts')
      .then(({ dataMatrixPicture }) => {
        const made = dataMatrixPicture(bedside.writeLabel(labelCode, useBy))
        if (!gone) setPicture(made)
      })
      .catch((error: unknown) => {
        if (!gone) setProblem(error instanceof Error ? error.message : String(error))
      })
    return () => {
      gone = true
    }
  }, [bedside, labelCode, useBy])
  const label = { cup, labelCode, preparedAt, useBy, picture }
  const print = () => {
    window.print()
    onPrinted()
  }
  return (
    <div className="stack">
      <Label {...label} />
      {problem !== null && (
        <Strip kind="halt" word="No code can be made.">
          {problem} Nothing was printed.
        </Strip>
      )}
      <p className="quiet">
        Stick it on the cup or syringe, not on the lid. Before the treatment starts it is asked for. Use by{' '}
        {clock(useBy)}.
      </p>
      <Button tone="primary" gloved isDisabled={picture === null} onPress={print}>
        Print the label
      </Button>
      {createPortal(
        <div className="label-print only-print">
          <Label {...label} />
        </div>,
        document.body,
      )}
    </div>
  )
}

type LabelProps = Pick<LabelSheetProps, 'cup' | 'labelCode'> & {
  readonly preparedAt: string
  readonly useBy: string
  readonly picture: string | null
}

/**
 * What stands on it: two identifiers, every medicine with dose and volume, the total, who made it when, and until when it
 * may be used. After Joint Commission NPSG.03.04.01, labels of medicines not given at once (from memory).
 */
function Label({ cup, labelCode, preparedAt, useBy, picture }: LabelProps) {
  const { patient, me } = useDesk()
  const when = useDayAndClock()
  return (
    <article className="cup-label" aria-label="Label">
      <div className="cup-label-text">
        <p className="cup-label-name">{fullName(patient)}</p>
        <p>
          born {patient.dob ?? 'unknown'} · no. {patient.mrn}
        </p>
        <ul>
          {cup.portions.map(({ text, amount, unit, volumeMl }) => (
            <li key={text}>
              <strong>
                {text}
                {amount !== null && ` ${amount} ${unit ?? ''}`}
              </strong>{' '}
              in {volumeMl} mL
            </li>
          ))}
        </ul>
        <p>
          <strong>{cup.totalMl} mL in all · to inhale only</strong>
        </p>
        <p>
          made {when(preparedAt)}, {me.name}
        </p>
        <p>
          <strong>use by {when(useBy)}</strong>
        </p>
      </div>
      <div className="cup-label-code">
        {picture !== null && <img src={picture} alt={`Code of the label ${labelCode}`} />}
        <p className="cup-label-typed">{labelCode}</p>
      </div>
    </article>
  )
}
