import { useState } from 'react'
import { UNITS } from '../../../chart/documents/units.ts'
import { useDocument, useRecord, useSite, useToday } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { clockTime } from '../../parts/clock-text.ts'
import { DateEntry } from '../../parts/date-entry.tsx'
import { MultiChoice } from '../../parts/multi-choice.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import type { PersonRow } from './people-rows.ts'
import { type ShiftTimes, shiftTimes } from './shift-times.ts'

type Which = 'day' | 'night' | 'other'
type ShiftFormProps = { readonly person: PersonRow; readonly people: readonly PersonRow[] }

/** Gives somebody a shift: a day, day or night or other times, the units, and for a learner beside whom. */
export function ShiftForm({ person, people }: ShiftFormProps) {
  const { shifts, timeZone } = useSite()
  const { units } = useDocument(UNITS)
  const record = useRecord()
  const today = useToday()
  const [date, setDate] = useState(today)
  const [which, setWhich] = useState<Which>('day')
  const [other, setOther] = useState({ from: '', to: '' })
  const [chosen, setChosen] = useState<readonly string[]>([])
  const [beside, setBeside] = useState<string | null>(null)
  const [given, setGiven] = useState(false)
  const spans = {
    day: { from: shifts.dayFrom, to: shifts.nightFrom },
    night: { from: shifts.nightFrom, to: shifts.dayFrom },
    other,
  }
  const times = read(date, spans[which], timeZone)
  const learns = person.role === 'learner'
  const ready = times.ok && chosen.length > 0 && (!learns || beside !== null)
  const give = async () => {
    if (!times.ok) return
    const { from, to } = times
    const withWhom = learns && beside !== null ? { beside } : {}
    await record(
      'shift-assigned',
      { personId: person.personId },
      { from, to, units: [...chosen], ...withWhom },
    )
    setChosen([])
    setGiven(true)
  }
  return (
    <div className="stack">
      <DateEntry label="Day on which it begins" value={date} onChange={setDate} />
      <Choice
        label="Which shift"
        options={[
          { value: 'day', label: 'Day', note: `${spans.day.from} to ${spans.day.to}` },
          { value: 'night', label: 'Night', note: `${spans.night.from} to ${spans.night.to}` },
          { value: 'other', label: 'Other times' },
        ]}
        value={which}
        onChange={setWhich}
      />
      {which === 'other' && (
        <div className="setup-from-to">
          <TextEntry
            label="From"
            placeholder="HH:MM"
            value={other.from}
            onChange={(from) => setOther({ ...other, from })}
          />
          <TextEntry
            label="To"
            placeholder="HH:MM"
            value={other.to}
            onChange={(to) => setOther({ ...other, to })}
          />
        </div>
      )}
      {!times.ok && <p className="quiet">{times.what}</p>}
      <MultiChoice
        label="Units"
        tileRem={11}
        options={units.map(({ id, name }) => ({ value: id, label: name }))}
        value={chosen}
        onChange={(next) => {
          setChosen(next)
          setGiven(false)
        }}
      />
      {learns && (
        <Choice
          label="Beside whom"
          tileRem={11}
          options={people.filter(mayTeach).map(({ personId, name }) => ({ value: personId, label: name }))}
          value={beside}
          onChange={setBeside}
        />
      )}
      <div className="row">
        <Button tone="primary" gloved isDisabled={!ready} onPress={give}>
          Give this shift
        </Button>
        <span role="status">{given && 'Given, and on the record.'}</span>
      </div>
    </div>
  )
}

function read(date: string, span: { from: string; to: string }, timeZone: string): ShiftTimes {
  const [from, to] = [clockTime(span.from), clockTime(span.to)]
  if (from === null || to === null) {
    return { ok: false, what: 'From and to as times of day on a 24 hour clock, for example 11:00.' }
  }
  return shiftTimes(date, from, to, timeZone)
}

function mayTeach({ role, active }: PersonRow): boolean {
  return active && (role === 'therapist' || role === 'lead' || role === 'educator')
}
