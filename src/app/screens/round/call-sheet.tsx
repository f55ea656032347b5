import { useState } from 'react'
import { asNeededOrders, lastGivenAt } from '../../../chart/folds/doses.ts'
import { termsAt } from '../../../chart/folds/order.ts'
import { fullName } from '../../../chart/folds/patient.ts'
import { placeText } from '../../../chart/handover.ts'
import { useChart, useClock, useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { useOpenVisit } from '../visit/use-open-visit.ts'

/** A call for an as-needed dose: who, whether the minimum gap has passed, and straight into the visit. */
export function CallSheet({ isOpen, onClose }: { readonly isOpen: boolean; readonly onClose: () => void }) {
  const chart = useChart()
  const now = useNow()
  const clock = useClock()
  const open = useOpenVisit()
  const [find, setFind] = useState('')
  const orders = asNeededOrders(chart, now).filter((order) => {
    const patient = chart.patient(order.patientId)
    return (
      patient.dischargedAt === null &&
      `${fullName(patient)} ${placeText(patient)}`.toLowerCase().includes(find.trim().toLowerCase())
    )
  })
  return (
    <Sheet title="A call came in" isOpen={isOpen} onClose={onClose}>
      <div className="stack">
        <TextEntry label="Name or place" value={find} onChange={setFind} />
        {orders.length === 0 && (
          <p className="quiet">No as-needed order is in force for that. Ask the prescriber for one.</p>
        )}
        <ul className="lines">
          {orders.map((order) => {
            const terms = termsAt(order, now)
            const patient = chart.patient(order.patientId)
            const medicineIds = terms.medicines.flatMap(({ medicineId }) => medicineId ?? [])
            const last = lastGivenAt(chart, order.patientId, medicineIds, now)
            const gap = terms.prn?.minimumGapMinutes ?? null
            const freeAt =
              last === null || gap === null ? null : new Date(Date.parse(last) + gap * 60_000).toISOString()
            const tooSoon = freeAt !== null && freeAt > now
            return (
              <li key={order.orderId} className="row row-apart">
                <div>
                  <p className="strong">
                    {placeText(patient)}, {fullName(patient)}
                  </p>
                  <p className="quiet">
                    {terms.title}
                    {terms.prn?.reason && ` for ${terms.prn.reason}`}
                    {last && ` · last ${clock(last)}`}
                    {tooSoon && ` · not before ${clock(freeAt)}`}
                  </p>
                </div>
                <Button
                  gloved
                  onPress={() => {
                    onClose()
                    open({ orderId: order.orderId, patientId: order.patientId, doseAt: null, visit: null })
                  }}
                >
                  {tooSoon ? 'Too soon: look' : 'Visit'}
                </Button>
              </li>
            )
          })}
        </ul>
      </div>
    </Sheet>
  )
}
