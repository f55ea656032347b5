import { useState } from 'react'
import { z } from 'zod'
import { MessageAnswers } from '../../../api/schemas.ts'
import { MEDICINE_CODES } from '../../../chart/documents/medicine-codes.ts'
import type { OrderBody } from '../../../chart/facts/orders.ts'
import { fullName } from '../../../chart/folds/patient.ts'
import { placeText } from '../../../chart/handover.ts'
import { useChart, useDocument, useMe, useNow, usePost } from '../../local/hooks.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { NumberEntry } from '../../parts/number-entry.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { ByRecordNumber } from '../patient/by-record-number.tsx'

const CODES = ['Q2H', 'Q4H', 'Q6H', 'QID', 'TID', 'BID', 'QD', 'once', 'PRN'] as const
type Code = (typeof CODES)[number]
const UNITS = ['mg', 'mcg', 'mL'] as const
type Unit = (typeof UNITS)[number]

/** An order given by word or paper, typed in: it goes the same way as a message, is reviewed, and says who entered it. */
export function HandOrderSheet({
  isOpen,
  onClose,
}: {
  readonly isOpen: boolean
  readonly onClose: () => void
}) {
  const chart = useChart()
  const now = useNow()
  const me = useMe()
  const post = usePost()
  const codes = useDocument(MEDICINE_CODES)
  const [find, setFind] = useState('')
  const [patientId, setPatientId] = useState<string | null>(null)
  const [medicine, setMedicine] = useState<string | null>(null)
  const [amount, setAmount] = useState<number | null>(null)
  const [unit, setUnit] = useState<Unit>('mg')
  const [code, setCode] = useState<Code | null>(null)
  const [gapMin, setGapMin] = useState<number | null>(null)
  const [indication, setIndication] = useState('')
  const [prescriber, setPrescriber] = useState('')
  const [problem, setProblem] = useState<string | null>(null)
  const found = chart
    .patients()
    .filter((patient) => patient.dischargedAt === null)
    .filter(
      (patient) =>
        find.trim().length >= 2 &&
        `${fullName(patient)} ${placeText(patient)}`.toLowerCase().includes(find.trim().toLowerCase()),
    )
    .slice(0, 6)
  const chosen = codes.codes.find((each) => each.code === medicine)
  const ready = patientId && chosen && amount && code && prescriber.trim() && (code !== 'PRN' || gapMin)
  const send = async () => {
    if (!patientId || !chosen || !amount || !code) return
    const order: OrderBody = {
      placer: `HAND-${now.replaceAll(/[^0-9]/g, '')}-${me.personId}`,
      filler: null,
      group: null,
      title: `${chosen.text} ${amount} ${unit}`,
      medicines: [
        {
          medicineId: chosen.medicineId,
          code: chosen.code,
          text: chosen.text,
          amountMin: amount,
          amountMax: null,
          unit: unit,
          part: 'medicine',
        },
      ],
      route: 'inhalation',
      device: 'nebulizer',
      method: null,
      frequency: frequencyOf(code),
      priority: 'routine',
      startAt: now,
      endAt: null,
      prn: code === 'PRN' ? { reason: indication.trim() || null, minimumGapMinutes: gapMin } : null,
      indication: indication.trim() || null,
      prescriber: { id: '', name: prescriber.trim() },
      instruction: null,
    }
    const reply = await post('/api/orders', { patientId, order }, MessageAnswers.or(z.unknown()))
    if (reply.ok) onClose()
    else setProblem(reply.what)
  }
  return (
    <Sheet
      title="An order by hand"
      isOpen={isOpen}
      onClose={onClose}
      foot={
        <Button tone="primary" gloved isDisabled={!ready} onPress={send}>
          Keep the order
        </Button>
      }
    >
      <div className="stack">
        <TextEntry label="Find the patient by name or place" value={find} onChange={setFind} />
        <Choice
          label="Patient"
          tileRem={16}
          options={found.map((patient) => ({
            value: patient.patientId,
            label: fullName(patient),
            note: `${placeText(patient)}, born ${patient.dob ?? 'unknown'}`,
          }))}
          value={patientId}
          onChange={setPatientId}
        />
        {patientId === null && (
          <ByRecordNumber
            onFound={(found) => {
              setFind(fullName(chart.patient(found)))
              setPatientId(found)
            }}
          />
        )}
        <Choice
          label="Medicine"
          tileRem={13}
          options={codes.codes.map((each) => ({ value: each.code, label: each.text }))}
          value={medicine}
          onChange={setMedicine}
        />
        <Choice label="Unit of the dose" options={asOptions(UNITS)} value={unit} onChange={setUnit} />
        {chosen && (
          <NumberEntry
            rule={{
              name: 'Dose',
              unit: unit,
              decimals: 3,
              possible: { low: 0.001, high: 5000 },
              plausible: { low: 0.001, high: 1000 },
            }}
            value={amount}
            onChange={(value) => setAmount(value)}
          />
        )}
        <Choice label="How often" options={asOptions(CODES)} value={code} onChange={setCode} />
        {code === 'PRN' && (
          <NumberEntry
            rule={{
              name: 'Not closer than',
              unit: 'min',
              decimals: 0,
              possible: { low: 1, high: 1440 },
              plausible: { low: 20, high: 720 },
            }}
            value={gapMin}
            onChange={(value) => setGapMin(value)}
          />
        )}
        <TextEntry label="What for" value={indication} onChange={setIndication} />
        <TextEntry label="Prescriber" value={prescriber} onChange={setPrescriber} />
        {problem !== null && (
          <Strip kind="halt" word="Not kept." spoken>
            {problem}
          </Strip>
        )}
      </div>
    </Sheet>
  )
}

/** A frequency as the order holds it, from the code pressed. */
function frequencyOf(code: Code): OrderBody['frequency'] {
  const hours = /^Q(\d+)H$/.exec(code)?.[1]
  if (hours) return { code, everyMinutes: Number(hours) * 60, standardTimes: true }
  switch (code) {
    case 'once':
      return { code, once: true, standardTimes: false }
    case 'PRN':
      return { code, standardTimes: false }
    case 'QD':
      return { code, timesPerDay: 1, standardTimes: true }
    default:
      return {
        code,
        timesPerDay: { QID: 4, TID: 3, BID: 2 }[code as 'QID' | 'TID' | 'BID'],
        standardTimes: true,
      }
  }
}
