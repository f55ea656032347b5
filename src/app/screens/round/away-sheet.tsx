import { useState } from 'react'
import { fullName } from '../../../chart/folds/patient.ts'
import { placeText } from '../../../chart/handover.ts'
import { useChart, useNow, useRecord } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'

const REASONS = [
  { value: 'imaging', label: 'Imaging' },
  { value: 'theater', label: 'Operating room' },
  { value: 'procedure', label: 'Procedure' },
  { value: 'dialysis', label: 'Dialysis' },
] as const
const BACK = [
  { value: '30', label: '30 min' },
  { value: '60', label: '1 hour' },
  { value: '120', label: '2 hours' },
  { value: 'unknown', label: 'Nobody knows' },
] as const

/** A patient left the unit, or is back: the round is planned around it. */
export function AwaySheet({ isOpen, onClose }: { readonly isOpen: boolean; readonly onClose: () => void }) {
  return (
    <Sheet title="Someone is away" isOpen={isOpen} onClose={onClose}>
      <AskAway onDone={onClose} />
    </Sheet>
  )
}

function AskAway({ onDone }: { readonly onDone: () => void }) {
  const chart = useChart()
  const now = useNow(60_000)
  const record = useRecord()
  const [find, setFind] = useState('')
  const [reason, setReason] = useState<(typeof REASONS)[number]['value']>('imaging')
  const [back, setBack] = useState<(typeof BACK)[number]['value']>('60')
  const patients = chart
    .patients()
    .filter(
      (patient) =>
        patient.dischargedAt === null &&
        patient.place !== null &&
        `${fullName(patient)} ${placeText(patient)}`.toLowerCase().includes(find.trim().toLowerCase()),
    )
    .sort((a, b) => placeText(a).localeCompare(placeText(b), 'en', { numeric: true }))
  const leave = async (patientId: string) => {
    const expectedBackAt =
      back === 'unknown' ? null : new Date(Date.parse(now) + Number(back) * 60_000).toISOString()
    const words = REASONS.find(({ value }) => value === reason)?.label.toLowerCase() ?? reason
    await record(
      'patient-away',
      { patientId },
      { reason: words, ...(expectedBackAt !== null && { expectedBackAt }) },
    )
    onDone()
  }
  return (
    <div className="stack">
      <Choice label="Where to" options={REASONS} value={reason} onChange={setReason} tileRem={9} />
      <Choice label="Back in about" options={BACK} value={back} onChange={setBack} tileRem={7} />
      <TextEntry label="Name or place" value={find} onChange={setFind} />
      <ul className="lines">
        {patients.map((patient) => (
          <li key={patient.patientId} className="row row-apart">
            <div>
              <p className="strong">{placeText(patient)}</p>
              <p className="quiet">
                {fullName(patient)}
                {patient.away && ` · away: ${patient.away.reason}`}
              </p>
            </div>
            {patient.away ? (
              <Button
                gloved
                aria-label={`${placeText(patient)}, ${fullName(patient)} is back`}
                onPress={async () => {
                  await record('patient-back', { patientId: patient.patientId }, {})
                  onDone()
                }}
              >
                Is back
              </Button>
            ) : (
              <Button
                gloved
                aria-label={`${placeText(patient)}, ${fullName(patient)} is away`}
                onPress={() => void leave(patient.patientId)}
              >
                Is away
              </Button>
            )}
          </li>
        ))}
      </ul>
    </div>
  )
}
