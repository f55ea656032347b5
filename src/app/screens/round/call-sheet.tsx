import { useState } from 'react'
import { asNeededOrders, lastGivenAt } from '../../../chart/folds/doses.ts'
import { type OrderState, termsAt } from '../../../chart/folds/order.ts'
import { fullName } from '../../../chart/folds/patient.ts'
import { placeText } from '../../../chart/handover.ts'
import { prnAvailableAt, prnGapMinutes } from '../../../chart/timing/gap.ts'
import { medicineIdsOf, type OpenCall, openCalls } from '../../../shift/index.ts'
import { useChart, useClock, useNow, useRecord } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { announce } from '../../shell/announce.tsx'
import { useOpenVisit } from '../visit/use-open-visit.ts'

const NEEDS = [
  { value: 'now', label: 'Now' },
  { value: 'soon', label: 'Soon' },
  { value: 'when you can', label: 'When you can' },
] as const
const CALLERS = [
  { value: 'the nurse', label: 'Nurse' },
  { value: 'the patient', label: 'Patient' },
  { value: 'the prescriber', label: 'Prescriber' },
] as const

type Call = {
  readonly from: (typeof CALLERS)[number]['value']
  readonly need: (typeof NEEDS)[number]['value']
}

/** A call for an as-needed dose: who calls and how urgently. It goes on the record, and the round is planned around it. */
export function CallSheet({ isOpen, onClose }: { readonly isOpen: boolean; readonly onClose: () => void }) {
  return (
    <Sheet title="A call came in" isOpen={isOpen} onClose={onClose}>
      <AskCall onDone={onClose} />
    </Sheet>
  )
}

function AskCall({ onDone }: { readonly onDone: () => void }) {
  const [call, setCall] = useState<Call>({ from: 'the nurse', need: 'soon' })
  const [find, setFind] = useState('')
  const chart = useChart()
  const now = useNow()
  const calls = openCalls(chart, now)
  const orders = asNeededOrders(chart, now).filter((order) => {
    const patient = chart.patient(order.patientId)
    return (
      patient.dischargedAt === null &&
      `${fullName(patient)} ${placeText(patient)}`.toLowerCase().includes(find.trim().toLowerCase())
    )
  })
  return (
    <div className="stack">
      <Choice
        label="Needed"
        options={NEEDS}
        value={call.need}
        onChange={(need) => setCall({ ...call, need })}
        tileRem={8}
      />
      <Choice
        label="Who calls"
        options={CALLERS}
        value={call.from}
        onChange={(from) => setCall({ ...call, from })}
        tileRem={8}
      />
      <TextEntry label="Name or place" value={find} onChange={setFind} />
      {orders.length === 0 && (
        <p className="quiet">No as-needed order is in force for that. Ask the prescriber for one.</p>
      )}
      <ul className="lines">
        {orders.map((order) => (
          <CallLine
            key={order.orderId}
            order={order}
            known={calls.find(({ orderId }) => orderId === order.orderId) ?? null}
            call={call}
            now={now}
            onDone={onDone}
          />
        ))}
      </ul>
    </div>
  )
}

/** An as-needed order with what stands in its way, and the two things that can be done about the call. */
function CallLine({
  order,
  known,
  call,
  now,
  onDone,
}: {
  readonly order: OrderState
  /** The call for it that is in the plan already. */
  readonly known: OpenCall | null
  readonly call: Call
  readonly now: string
  readonly onDone: () => void
}) {
  const chart = useChart()
  const clock = useClock()
  const record = useRecord()
  const open = useOpenVisit()
  const { orderId, patientId } = order
  const terms = termsAt(order, now)
  const patient = chart.patient(patientId)
  const name = `${placeText(patient)}, ${fullName(patient)}`
  const { last, freeAt } = standingOf(chart, order, now)
  const write = async () => {
    if (known === null) await record('call-received', { patientId, orderId }, { ...call, note: '' })
    onDone()
  }
  const plan = async () => {
    await write()
    announce(`The call from ${name} is on the record. The round is planned around it.`)
  }
  const go = async () => {
    await write()
    await open({ orderId, patientId, doseAt: null, visit: null })
  }
  return (
    <li className="row row-apart">
      <div>
        <p className="strong">{name}</p>
        <p className="quiet">
          {terms.title}
          {terms.prn?.reason && ` for ${terms.prn.reason}`}
          {last && ` · last ${clock(last)}`}
          {freeAt && ` · not before ${clock(freeAt)}`}
          {known && ` · called ${clock(known.calledAt)}, in the plan`}
        </p>
      </div>
      <div className="row">
        {known === null && (
          <Button gloved tone="primary" aria-label={`Plan it: ${name}, ${terms.title}`} onPress={plan}>
            Plan it
          </Button>
        )}
        <Button gloved aria-label={`Go now: ${name}, ${terms.title}`} onPress={go}>
          {freeAt ? 'Too soon: look' : 'Go now'}
        </Button>
      </div>
    </li>
  )
}

/** When it was given last, and from when it may be given again where that is still to come. */
function standingOf(chart: ReturnType<typeof useChart>, order: OrderState, now: string) {
  const terms = termsAt(order, now)
  const last = lastGivenAt(chart, order.patientId, medicineIdsOf(terms), now)
  const free = prnAvailableAt(last, prnGapMinutes(terms))
  return { last, freeAt: free.kind === 'from' && free.at > now ? free.at : null }
}
