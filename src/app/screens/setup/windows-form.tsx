import type { DocumentContent } from '../../../chart/documents/documents.ts'
import { fieldWords } from './field-words.ts'
import { DocumentNumber, type FormProps } from './form-parts.tsx'
import { CLASS_WORDS } from './windows-view.tsx'

type Windows = DocumentContent<'windows'>
const DAY_MINUTES = 24 * 60

/** The minutes of the windows and gaps. What names medicines is edited as text. */
export function WindowsForm({ content, onChange }: FormProps<Windows>) {
  const { classes, exact, minimumGaps } = content
  const setClass = (name: keyof Windows['classes'], change: Partial<Windows['classes']['time-critical']>) =>
    onChange({ ...content, classes: { ...classes, [name]: { ...classes[name], ...change } } })
  const setExact = (name: keyof Windows['exact']['onTimeWithinMinutes'], minutes: number) =>
    onChange({
      ...content,
      exact: { ...exact, onTimeWithinMinutes: { ...exact.onTimeWithinMinutes, [name]: minutes } },
    })
  const setGap = (code: string, minutes: number) =>
    onChange({
      ...content,
      minimumGaps: minimumGaps.map((gap) => (gap.code === code ? { ...gap, minutes } : gap)),
    })
  return (
    <div className="stack">
      {namesOf(classes).map((name) => (
        <section key={name} className="stack stack-close">
          <h3 className="strong">{CLASS_WORDS[name]}</h3>
          <div className="figures">
            <Minutes
              name="Early"
              value={classes[name].minutesBefore}
              onChange={(minutesBefore) => setClass(name, { minutesBefore })}
            />
            <Minutes
              name="Late"
              value={classes[name].minutesAfter}
              onChange={(minutesAfter) => setClass(name, { minutesAfter })}
            />
          </div>
        </section>
      ))}
      <section className="stack stack-close">
        <h3 className="strong">Due at their instant: on time within</h3>
        <div className="figures">
          {namesOf(exact.onTimeWithinMinutes).map((name) => (
            <Minutes
              key={name}
              name={fieldWords(name)}
              value={exact.onTimeWithinMinutes[name]}
              onChange={(minutes) => setExact(name, minutes)}
            />
          ))}
        </div>
      </section>
      <section className="stack stack-close">
        <h3 className="strong">Closest that two doses of an order may come</h3>
        <div className="figures">
          {minimumGaps.map(({ code, minutes }) => (
            <Minutes key={code} name={code} low={1} value={minutes} onChange={(next) => setGap(code, next)} />
          ))}
        </div>
      </section>
      <p className="quiet small">Medicines with a window of their own are edited as text.</p>
    </div>
  )
}

function Minutes({
  name,
  low = 0,
  value,
  onChange,
}: {
  readonly name: string
  readonly low?: number
  readonly value: number
  readonly onChange: (minutes: number) => void
}) {
  return (
    <DocumentNumber
      name={name}
      unit="min"
      low={low}
      high={DAY_MINUTES}
      value={value}
      onChange={(next) => next !== null && onChange(next)}
    />
  )
}

function namesOf<Name extends string>(record: Readonly<Record<Name, unknown>>): Name[] {
  return Object.keys(record) as Name[]
}
