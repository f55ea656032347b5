import { useState } from 'react'
import type { DocumentProblem } from '../../../chart/documents/document-kind.ts'
import type { DocumentContent } from '../../../chart/documents/documents.ts'
import { FIRST_DOSE_RULES } from '../../../chart/documents/standard-times.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { MultiChoice } from '../../parts/multi-choice.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { problemAt } from './document-draft.ts'
import type { FormProps } from './form-parts.tsx'
import { FIRST_DOSE_WORDS } from './standard-times-view.tsx'
import { timesOf } from './times-text.ts'

type StandardTimes = DocumentContent<'standard-times'>
type TimesTable = StandardTimes['tables'][number]

/** The tables of standard times, row by row, and the rules around them. */
export function StandardTimesForm({ content, problems, onChange }: FormProps<StandardTimes>) {
  const { tables, inUse, thenLookIn, firstDose, awake } = content
  const names = tables.map(({ name }) => ({ value: name, label: name }))
  const setTable = (at: number, rows: TimesTable['rows']) =>
    onChange({ ...content, tables: tables.map((table, i) => (i === at ? { ...table, rows } : table)) })
  return (
    <div className="stack">
      {tables.map((table, at) => (
        <TableForm
          key={table.name}
          table={table}
          problemOf={(row, code) => rowProblem(problems, at, table.name, row, code)}
          onChange={(rows) => setTable(at, rows)}
        />
      ))}
      <Choice
        label="Table in use"
        options={names}
        value={inUse}
        onChange={(next) => onChange({ ...content, inUse: next })}
        problem={problemAt(problems, 'inUse')}
      />
      <MultiChoice
        label="Then look in, in this order"
        hint={thenLookIn.join(', then ') || 'no other table'}
        options={names}
        value={thenLookIn}
        onChange={(next) => onChange({ ...content, thenLookIn: next })}
        problem={problemAt(problems, 'thenLookIn')}
      />
      <Choice
        label="When an order begins between two times"
        tileRem={20}
        options={FIRST_DOSE_RULES.map((value) => ({ value, label: FIRST_DOSE_WORDS[value] }))}
        value={firstDose.rule}
        onChange={(rule) => onChange({ ...content, firstDose: { ...firstDose, rule } })}
      />
      <div className="side-by-side">
        <TextEntry
          label="Taken to be awake from"
          value={awake.from}
          onChange={(from) => onChange({ ...content, awake: { ...awake, from } })}
          problem={problemAt(problems, 'awake')}
        />
        <TextEntry
          label="until"
          value={awake.to}
          onChange={(to) => onChange({ ...content, awake: { ...awake, to } })}
        />
      </div>
      <TextEntry
        label="Note"
        lines={2}
        value={content.note ?? ''}
        onChange={(note) => onChange({ ...content, note: note === '' ? null : note })}
        problem={problemAt(problems, 'note')}
      />
    </div>
  )
}

type TableFormProps = {
  readonly table: TimesTable
  readonly problemOf: (row: number, code: string) => string | undefined
  readonly onChange: (rows: TimesTable['rows']) => void
}

function TableForm({ table: { name, rows }, problemOf, onChange }: TableFormProps) {
  const set = (at: number, change: Partial<TimesTable['rows'][number]>) =>
    onChange(rows.map((row, i) => (i === at ? { ...row, ...change } : row)))
  return (
    <section className="stack stack-close" aria-label={`Table ${name}`}>
      <h3 className="strong">{name}</h3>
      {rows.map((row, at) => (
        // Rows have no name that stays while their code is typed; taking one out changes the count, and so all keys.
        <div key={`${rows.length} ${String(at)}`} className="setup-times-row">
          <TextEntry label="Frequency" value={row.code} onChange={(code) => set(at, { code })} />
          <TimesEntry
            times={row.times}
            onChange={(times) => set(at, { times })}
            problem={problemOf(at, row.code)}
          />
          <Button
            tone="quiet"
            aria-label={`Take ${row.code || 'this row'} out of ${name}`}
            onPress={() => onChange(rows.filter((_, i) => i !== at))}
          >
            Take out
          </Button>
        </div>
      ))}
      <div>
        <Button
          aria-label={`Add a row to ${name}`}
          onPress={() => onChange([...rows, { code: '', times: [] }])}
        >
          Add a row
        </Button>
      </div>
    </section>
  )
}

/** Times as they are typed; what they mean goes up with every key, the text stays as typed. */
function TimesEntry({
  times,
  onChange,
  problem,
}: {
  readonly times: readonly string[]
  readonly onChange: (times: string[]) => void
  readonly problem: string | undefined
}) {
  const [text, setText] = useState(times.join(', '))
  const take = (next: string) => {
    setText(next)
    onChange(timesOf(next))
  }
  return (
    <TextEntry
      label="Times"
      value={text}
      onChange={take}
      onBlur={() => setText(timesOf(text).join(', '))}
      problem={problem}
    />
  )
}

/** The schema names a row by its number, the document's own check by its code. */
function rowProblem(
  problems: readonly DocumentProblem[],
  table: number,
  name: string,
  row: number,
  code: string,
): string | undefined {
  return (
    problemAt(problems, `tables.${table}.rows.${row}`) ??
    (code === '' ? undefined : problemAt(problems, `tables.${name}.${code}`))
  )
}
