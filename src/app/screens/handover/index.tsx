import { useMemo, useState } from 'react'
import type { HandoverState } from '../../../chart/folds/handover.ts'
import { shiftAt } from '../../../chart/folds/staff.ts'
import { draftHandover, handoverText } from '../../../chart/handover.ts'
import { useDueDoses } from '../../hospital/index.ts'
import { useChart, useClock, useMe, useNewId, useNow, useRecord } from '../../local/hooks.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Button, buttonClass } from '../../parts/button.tsx'
import { MultiChoice } from '../../parts/multi-choice.tsx'
import { PrintButton } from '../../parts/print-button.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { Screen } from '../../shell/screen.tsx'
import { StillComing } from '../../shell/still-coming.tsx'
import './handover.css'

const HOUR = 3_600_000

/** One page a unit: who got what, how they did, what is due, what was missed, what to watch, who owes an answer. */
export function Handover() {
  const chart = useChart()
  const now = useNow()
  const me = useMe()
  const person = chart.person(me.personId)
  const shift = person ? shiftAt(person, now) : null
  const allUnits = [...new Set(chart.patients().flatMap(({ place }) => place?.unit ?? []))].sort()
  const [units, setUnits] = useState<readonly string[]>(shift?.units.length ? shift.units : allUnits)
  const from = shift?.from ?? new Date(Date.parse(now) - 12 * HOUR).toISOString()
  return (
    <Screen title="Handover">
      <StillComing />
      <MultiChoice
        label="Units"
        options={asOptions(allUnits)}
        value={units}
        onChange={setUnits}
        tileRem={8.5}
      />
      <Draft units={units} from={from} />
      <Written />
    </Screen>
  )
}

function Draft({ units, from }: { readonly units: readonly string[]; readonly from: string }) {
  const chart = useChart()
  const now = useNow()
  const clock = useClock()
  const me = useMe()
  const record = useRecord()
  const newId = useNewId()
  const dueDoses = useDueDoses()
  const minute = `${now.slice(0, 16)}:00.000Z`
  const composed = useMemo(() => {
    const until = new Date(Date.parse(minute) + 24 * HOUR).toISOString()
    const next = new Map<string, string>()
    for (const dose of dueDoses(minute, until))
      if (dose.doseAt > minute && !next.has(dose.orderId)) next.set(dose.orderId, dose.doseAt)
    const nextDue = (orderId: string) => {
      const at = next.get(orderId)
      return at === undefined ? null : `due ${clock(at)}`
    }
    return handoverText(draftHandover(chart, { units, from, to: minute, clock, nextDue }))
  }, [chart, chart.revision, clock, dueDoses, from, minute, units])
  const [edited, setEdited] = useState<string | null>(null)
  const text = edited ?? composed
  const write = async () => {
    await record(
      'handover-written',
      { handoverId: newId() },
      { units: [...units], from, to: minute, text: text.trim(), printedName: me.name },
    )
    setEdited(null)
  }
  return (
    <section className="stack">
      <TextEntry
        label="What is handed over"
        hint={
          edited === null
            ? 'It wrote itself from the chart. Read it, add what only you know, hand over.'
            : 'Edited by you.'
        }
        lines={18}
        value={text}
        onChange={setEdited}
      />
      <div className="row row-apart no-print">
        <div className="row">
          <PrintButton />
          <Button isDisabled={edited === null} onPress={() => setEdited(null)}>
            As composed
          </Button>
        </div>
        <Button tone="primary" gloved isDisabled={text.trim() === '' || units.length === 0} onPress={write}>
          Hand over as {me.name}
        </Button>
      </div>
    </section>
  )
}

function Written() {
  const chart = useChart()
  const handovers = chart.handovers().sort((a, b) => (a.writtenAt < b.writtenAt ? 1 : -1))
  const [open, setOpen] = useState<HandoverState | null>(null)
  return (
    <section className="stack no-print">
      <h2 className="voice-head">Handed over</h2>
      {handovers.length === 0 && <p className="quiet">Nothing yet.</p>}
      <ul className="lines">
        {handovers.slice(0, 12).map((handover) => (
          <HandoverLine key={handover.handoverId} handover={handover} onOpen={() => setOpen(handover)} />
        ))}
      </ul>
      <AcceptSheet handover={open} onClose={() => setOpen(null)} />
    </section>
  )
}

function HandoverLine({
  handover,
  onOpen,
}: {
  readonly handover: HandoverState
  readonly onOpen: () => void
}) {
  const clock = useClock()
  const accepted = handover.accepted.map(({ printedName, at }) => `${printedName}, ${clock(at)}`).join('; ')
  return (
    <li className="row row-apart">
      <div>
        <p className="strong">
          {handover.units.join(', ')} · {clock(handover.writtenAt)} · {handover.printedName}
        </p>
        <p className="quiet">{accepted ? `Accepted by ${accepted}` : 'Not accepted yet'}</p>
      </div>
      <Button onPress={onOpen}>{accepted ? 'Read' : 'Read and accept'}</Button>
    </li>
  )
}

function AcceptSheet({
  handover,
  onClose,
}: {
  readonly handover: HandoverState | null
  readonly onClose: () => void
}) {
  const me = useMe()
  const record = useRecord()
  const [questions, setQuestions] = useState('')
  const mine = handover?.accepted.some(({ by }) => by === me.personId) ?? false
  const accept = async () => {
    if (!handover) return
    await record(
      'handover-accepted',
      { handoverId: handover.handoverId },
      { printedName: me.name, questions: questions.trim() },
    )
    onClose()
  }
  return (
    <Sheet
      title={handover ? `Handover of ${handover.units.join(', ')}` : ''}
      isOpen={handover !== null}
      onClose={onClose}
      foot={
        handover && (
          <div className="row">
            <a
              className={buttonClass()}
              href={`/api/handovers/${handover.handoverId}.pdf`}
              target="_blank"
              rel="noreferrer"
            >
              As a PDF file
            </a>
            {!mine && handover.writtenBy !== me.personId && (
              <Button tone="primary" gloved onPress={accept}>
                Accept as {me.name}
              </Button>
            )}
          </div>
        )
      }
    >
      {handover && (
        <div className="stack">
          <p className="quiet">By {handover.printedName}</p>
          <pre className="handover-text">{handover.text}</pre>
          {handover.accepted.map(
            ({ by, printedName, questions: asked }) =>
              asked && (
                <p key={by}>
                  {printedName} asked: {asked}
                </p>
              ),
          )}
          {!mine && handover.writtenBy !== me.personId && (
            <TextEntry label="Questions, if any" lines={2} value={questions} onChange={setQuestions} />
          )}
        </div>
      )}
    </Sheet>
  )
}
