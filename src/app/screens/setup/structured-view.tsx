import { Table } from '../../parts/table.tsx'
import { fieldWords } from './field-words.ts'

type Fields = Readonly<Record<string, unknown>>
/** More columns than this are read more easily as a list. */
const MOST_COLUMNS = 5

/** Any document, readably: fields under their names, lists of small things as tables, others one after another. */
export function StructuredView({ content }: { readonly content: Fields }) {
  const shown = Object.entries(content).filter(([name]) => name !== 'sources')
  const short = shown.filter(([, value]) => shortText(value) !== null)
  const long = shown.filter(([, value]) => shortText(value) === null)
  return (
    <div className="stack">
      {short.length > 0 && <FieldList fields={Object.fromEntries(short)} />}
      {long.map(([name, value]) => (
        <section key={name} className="stack stack-close">
          <h3 className="strong">{fieldWords(name)}</h3>
          <Long name={fieldWords(name)} value={value} />
        </section>
      ))}
    </div>
  )
}

function FieldList({ fields }: { readonly fields: Fields }) {
  return (
    <dl className="setup-fields">
      {Object.entries(fields).map(([name, value]) => {
        const text = shortText(value)
        return (
          <div key={name} className={text === null || text.length > 60 ? 'setup-field-wide' : undefined}>
            <dt className="quiet small">{fieldWords(name)}</dt>
            <dd>{text ?? <Long name={fieldWords(name)} value={value} />}</dd>
          </div>
        )
      })}
    </dl>
  )
}

function Long({ name, value }: { readonly name: string; readonly value: unknown }) {
  if (!Array.isArray(value)) return isFields(value) ? <FieldList fields={value} /> : null
  const rows: readonly Fields[] = value.filter(isFields)
  const columns = [...new Set(rows.flatMap(Object.keys))]
  const flat = rows.every((row) => Object.values(row).every((cell) => shortText(cell) !== null))
  if (flat && columns.length <= MOST_COLUMNS) {
    return (
      <Table
        caption={name}
        captionUnseen
        none="None."
        rows={rows}
        keyOf={(row: Fields) => String(rows.indexOf(row))}
        columns={columns.map((column) => ({
          name: fieldWords(column),
          cell: (row: Fields) => shortText(row[column]) ?? '',
        }))}
      />
    )
  }
  return (
    <ul className="lines">
      {rows.map((row) => (
        <Entry key={rows.indexOf(row)} row={row} />
      ))}
    </ul>
  )
}

function Entry({ row }: { readonly row: Fields }) {
  const title = ['name', 'text', 'id', 'code'].find((field) => typeof row[field] === 'string')
  const rest = Object.entries(row).filter(([field]) => field !== title)
  return (
    <li className="stack stack-close">
      {title && <p className="strong">{String(row[title])}</p>}
      <FieldList fields={Object.fromEntries(rest)} />
    </li>
  )
}

/** The value in one line, or null when it needs more than that. */
function shortText(value: unknown): string | null {
  if (value === null || value === undefined) return 'not set'
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  if (typeof value !== 'object') return String(value)
  if (Array.isArray(value)) {
    if (value.length === 0) return 'none'
    return value.every((entry) => typeof entry !== 'object') ? value.join(', ') : null
  }
  const { low, high, ...others } = value as Fields
  const isRange = typeof low === 'number' && typeof high === 'number' && Object.keys(others).length === 0
  return isRange ? `${low} to ${high}` : null
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}
