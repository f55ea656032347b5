import { useState } from 'react'
import { fullName } from '../../../chart/folds/patient.ts'
import { type SettleItem, settleItems } from '../../../chart/folds/settle.ts'
import { placeText } from '../../../chart/handover.ts'
import { useChart, useClock, useMe, useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Empty } from '../../parts/empty.tsx'
import { KindMark } from '../../parts/strip.tsx'
import { Screen } from '../../shell/screen.tsx'
import { StillComing } from '../../shell/still-coming.tsx'
import { AnswerSheet } from './answer-sheet.tsx'
import { BringIn } from './bring-in.tsx'
import { Sides } from './sides.tsx'
import './settle.css'

/** Orders and messages that cannot be acted on yet, each with what is missing and who owes it. */
export function Settle() {
  const chart = useChart()
  const now = useNow()
  const me = useMe()
  const [open, setOpen] = useState<SettleItem | null>(null)
  const items = settleItems(chart, now)
  return (
    <Screen title="Settle">
      <StillComing />
      <h2 className="voice-title">{sentence(items)}</h2>
      {items.length === 0 && (
        <Empty title="Nothing is open.">Every order can be read, and every question has its answer.</Empty>
      )}
      <ul className="lines settle-items">
        {items.map((item) => (
          <Row key={item.id} item={item} onOpen={() => setOpen(item)} />
        ))}
      </ul>
      {me.role !== 'prescriber' && <BringIn />}
      <AnswerSheet item={open} onClose={() => setOpen(null)} />
    </Screen>
  )
}

function sentence(items: readonly SettleItem[]): string {
  if (items.length === 0) return 'Nothing to settle.'
  const stops = items.filter(({ kind, severity }) => severity === 'stop' && kind !== 'question').length
  const asked = items.filter(({ kind }) => kind === 'question').length
  const parts = [
    `${items.length} thing${items.length === 1 ? '' : 's'} to settle`,
    ...(stops === 0 ? [] : [`${stops} of which stop a dose`]),
    ...(asked === 0 ? [] : [`${asked} where two entries do not go together`]),
  ]
  return `${parts.join(', ')}.`
}

function Row({ item, onOpen }: { readonly item: SettleItem; readonly onOpen: () => void }) {
  const chart = useChart()
  const clock = useClock()
  const patient = item.patientId === null ? null : chart.patient(item.patientId)
  return (
    <li className="settle-item">
      <KindMark kind={item.severity === 'stop' ? 'halt' : 'caution'} />
      <div>
        <p className="strong">
          {item.severity === 'stop' && item.kind !== 'question' ? 'Stops the dose: ' : ''}
          {item.what || 'It could not be read.'}
        </p>
        {item.sides && <Sides sides={item.sides} />}
        <p className="quiet">
          {patient ? `${placeText(patient)}, ${fullName(patient)} · ` : ''}
          {item.title} · the {item.owes} owes it · since {clock(item.since)}
        </p>
      </div>
      <Button onPress={onOpen} aria-label={`Settle: ${item.what || item.title}`}>
        Settle
      </Button>
    </li>
  )
}
