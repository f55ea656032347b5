import { useId, useState } from 'react'
import { Button } from './button.tsx'
import { Choice } from './choice.tsx'
import { clockTime, instantOf, wallOf } from './clock-text.ts'
import { DateEntry } from './date-entry.tsx'
import { TextEntry } from './text-entry.tsx'
import './moment-entry.css'

type MomentEntryProps = {
  readonly label: string
  /** An instant, ISO 8601 in UTC; null while there is none. */
  readonly value: string | null
  readonly onChange: (value: string | null) => void
  /** The facility's zone: what is typed is read on its clocks. */
  readonly timeZone: string
  /** The present, which the quick tiles count back from [ms since 1970]. */
  readonly nowMs: number
  /** Not before, not after; instants. */
  readonly earliest?: string
  readonly latest?: string
  /** How many minutes ago the quick tiles offer. */
  readonly ago?: readonly number[]
}

/** When something happened: a quick tile for the last minutes, or date and time of day on a 24 hour clock. */
export function MomentEntry(props: MomentEntryProps) {
  const { label, value, onChange, timeZone, nowMs, ago = [0, 5, 10, 15] } = props
  const start = wallOf(value ?? new Date(nowMs).toISOString(), timeZone)
  const [date, setDate] = useState(start.date)
  const [time, setTime] = useState(value === null ? '' : start.time)
  const [twice, setTwice] = useState<{ readonly first: string; readonly second: string } | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const labelId = useId()

  const settle = (at: string) => {
    const wrong = outside(at, props)
    setProblem(wrong)
    onChange(wrong ? null : at)
  }
  const read = (nextDate: string, nextTime: string) => {
    setTwice(null)
    const meant = understood(nextDate, nextTime, timeZone)
    if (meant.kind === 'one') return settle(meant.at)
    onChange(null)
    if (meant.kind === 'two') setTwice(meant)
    setProblem(meant.kind === 'problem' ? meant.what : null)
  }
  const pick = (minutes: number) => {
    const at = new Date(nowMs - minutes * 60_000).toISOString()
    const wall = wallOf(at, timeZone)
    setDate(wall.date)
    setTime(wall.time)
    setTwice(null)
    settle(at)
  }
  return (
    <fieldset className="moment-entry" aria-labelledby={labelId}>
      <span id={labelId} className="field-label">
        {label}
      </span>
      <div className="row">
        {ago.map((minutes) => (
          <Button key={minutes} onPress={() => pick(minutes)}>
            {minutes === 0 ? 'now' : `${minutes} min ago`}
          </Button>
        ))}
      </div>
      <div className="moment-entry-fields">
        <TextEntry
          label="Time"
          inputMode="numeric"
          placeholder="HH:MM"
          value={time}
          onChange={setTime}
          onBlur={() => {
            setTime(clockTime(time) ?? time)
            if (time !== '' || problem) read(date, time)
          }}
          problem={problem ?? undefined}
        />
        <DateEntry
          label="Date"
          value={date}
          onChange={(next) => {
            setDate(next)
            if (time !== '') read(next, time)
          }}
        />
      </div>
      {twice && (
        <Choice
          label={`${clockTime(time)} came twice that night, as the clocks went back. Which one?`}
          options={[
            { value: twice.first, label: 'The first', note: 'before they went back' },
            { value: twice.second, label: 'The second', note: 'after they went back' },
          ]}
          value={value}
          onChange={settle}
        />
      )}
    </fieldset>
  )
}

function understood(date: string, rawTime: string, timeZone: string) {
  const time = clockTime(rawTime)
  if (time === null)
    return { kind: 'problem', what: 'A time of day on a 24 hour clock, for example 04:12.' } as const
  if (!/^\d{4}-\d{2}-\d{2}$/.test(date)) return { kind: 'problem', what: 'The date is missing.' } as const
  const meant = instantOf(date, time, timeZone)
  if (meant.kind !== 'none') return meant
  return { kind: 'problem', what: `${time} did not exist that day: the clocks went forward.` } as const
}

function outside(at: string, { earliest, latest, timeZone }: MomentEntryProps): string | null {
  const shown = (instant: string) => {
    const { date, time } = wallOf(instant, timeZone)
    return `${time} on ${date}`
  }
  if (earliest !== undefined && at < earliest) return `Not before ${shown(earliest)}.`
  if (latest !== undefined && at > latest) return `Not after ${shown(latest)}.`
  return null
}
