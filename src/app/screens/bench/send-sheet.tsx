import { useNavigate } from '@tanstack/react-router'
import { useState } from 'react'
import { fullName } from '../../../chart/folds/patient.ts'
import { isOver, type VisitState } from '../../../chart/folds/visit.ts'
import { placeText } from '../../../chart/handover.ts'
import { useChart, useRecord } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { type Bench, letterAt } from './bench-state.ts'
import { setupTitle } from './bench-words.ts'
import { sentFrom } from './send-choice.ts'

type SendSheetProps = {
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly bench: Bench
  readonly chosen: number
  /** The visit that the bench was opened from, if it was. */
  readonly visitId: string | null
}

/** Sends one set-up to a visit whose treatment has not begun: it goes there, and waits in its set-up stage. */
export function SendSheet({ isOpen, onClose, bench, chosen, visitId }: SendSheetProps) {
  return (
    <Sheet title="Send to a visit" isOpen={isOpen} onClose={onClose} place="middle">
      <SendChoice bench={bench} chosen={chosen} visitId={visitId} />
    </Sheet>
  )
}

function SendChoice({ bench, chosen, visitId }: Omit<SendSheetProps, 'isOpen' | 'onClose'>) {
  const navigate = useNavigate()
  const visits = useVisitsToSetUp(visitId)
  const [at, setAt] = useState(chosen)
  const record = useRecord()
  const send = async ({ visitId: to, patientId, orderId }: VisitState) => {
    const sent = sentFrom(bench, at)
    if (!sent) return
    await record('set-up-sent', { visitId: to, patientId, orderId }, sent)
    void navigate({ to: '/visit/$visitId', params: { visitId: to } })
  }
  if (visits.length === 0) {
    return (
      <p>
        {visitId === null
          ? 'No visit is open whose treatment has not begun.'
          : 'The visit that this bench was opened from is not on this tablet, or its treatment has begun.'}{' '}
        Begin one from the round, then come back here: the bench stays as it is.
      </p>
    )
  }
  return (
    <div className="stack">
      <Choice
        label="Which set-up"
        options={bench.setups.map((each, index) => ({
          value: String(index),
          label: letterAt(index),
          note: setupTitle(each),
        }))}
        value={String(at)}
        onChange={(next) => setAt(Number(next))}
        tileRem={14}
      />
      <p className="quiet">
        The visit opens, and its set-up stage offers this choice. It is kept on the record, with or without a
        network.
      </p>
      <ul className="lines">
        {visits.map((visit) => (
          <li key={visit.visitId}>
            <Button gloved wide onPress={() => send(visit)}>
              <VisitName visit={visit} />
            </Button>
          </li>
        ))}
      </ul>
    </div>
  )
}

function VisitName({ visit }: { readonly visit: VisitState }) {
  const patient = useChart().patient(visit.patientId)
  return `Send to ${placeText(patient)}, ${fullName(patient)}`
}

/** Visits that can still be set up: the one that the bench was opened from, or else all that are open. */
function useVisitsToSetUp(visitId: string | null): readonly VisitState[] {
  const chart = useChart()
  return chart
    .visits()
    .filter((visit) => !isOver(visit) && visit.run.startedAt === null)
    .filter((visit) => visitId === null || visit.visitId === visitId)
}
