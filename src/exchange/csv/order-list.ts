import { parse } from 'csv-parse/browser/esm/sync'
import type { MedicineCodes } from '../../chart/documents/medicine-codes.ts'
import { readFrequencyCode } from '../../chart/timing/frequency-code.ts'
import { whyNotTaken } from '../hl7/check-frequency.ts'
import { type OrderReading, titleOf } from '../hl7/read-orders.ts'
import { readTime } from '../hl7/time.ts'

/** The header of an order list, in any order of columns. docs/order-list.md says what each holds. */
export const COLUMNS = [
  'record_number',
  'order_number',
  'medicine_code',
  'amount',
  'unit',
  'frequency',
  'start',
  'end',
  'as_needed_for',
  'not_closer_than_minutes',
  'indication',
  'prescriber',
] as const
type ColumnName = (typeof COLUMNS)[number]
type Row = Readonly<Record<ColumnName, string>>

type Problem = { where: string; code: string; what: string }
export type ListReading = {
  readonly rows: { readonly line: number; readonly mrn: string; readonly reading: OrderReading }[]
  readonly problems: Problem[]
}

/** Reads an order list. Every row is either an order or a problem with its row and column; none is passed over. */
export function readOrderList(
  text: string,
  settings: { readonly timeZone: string; readonly codes: MedicineCodes; readonly now: string },
): ListReading {
  const table = readTable(text)
  if ('what' in table) return { rows: [], problems: [table] }
  const problems: Problem[] = []
  const rows = table.rows.flatMap(({ row, line, cells }) => {
    const found: Problem[] = []
    if (cells !== COLUMNS.length) {
      const what = `the row has ${cells} cells and the header ${COLUMNS.length}; nothing was made of it`
      problems.push({ where: `row ${line}`, code: '102', what })
      return []
    }
    const reading = readRow(row, settings, (column, code, what) =>
      found.push({ where: `row ${line}, ${column}`, code, what }),
    )
    problems.push(...found)
    return reading && found.length === 0 ? [{ line, mrn: row.record_number.trim(), reading }] : []
  })
  return { rows, problems }
}

/** `line` is where the row ends in the list, blank lines counted. */
type TableRow = { readonly row: Row; readonly line: number; readonly cells: number }

function readTable(text: string): { readonly rows: readonly TableRow[] } | Problem {
  try {
    const records = parse(text.replace(/^\uFEFF/, ''), {
      skip_empty_lines: true,
      relax_column_count: true,
      // Otherwise the first line end would decide for all, and lists are pasted together.
      record_delimiter: ['\r\n', '\n', '\r'],
      info: true,
    }) as unknown as ParsedRow[]
    const header = (records[0]?.record ?? []).map((name) => name.trim().toLowerCase())
    const missing = COLUMNS.filter((name) => !header.includes(name))
    const unknown = header.filter((name) => !COLUMNS.includes(name as ColumnName))
    const twice = header.filter((name, at) => header.indexOf(name) !== at)
    if (missing.length + unknown.length + twice.length > 0) {
      const said = [
        ...missing.map((name) => `${name} is missing`),
        ...unknown.map((name) => `"${name}" is not one of ours`),
        ...twice.map((name) => `${name} stands twice`),
      ]
      return { where: 'header', code: '101', what: `${said.join('; ')}. Nothing was made of the list.` }
    }
    const rows = records.slice(1).map(({ record, info }) => ({
      row: Object.fromEntries(header.map((name, at) => [name, record[at] ?? ''])) as Row,
      line: info.lines,
      cells: record.length,
    }))
    return { rows }
  } catch (error) {
    return {
      where: 'the list',
      code: '102',
      what: `it is not CSV: ${error instanceof Error ? error.message : error}`,
    }
  }
}

type ParsedRow = { readonly record: readonly string[]; readonly info: { readonly lines: number } }

type Note = (column: ColumnName, code: string, what: string) => void

function readRow(
  row: Row,
  { timeZone, codes, now }: { timeZone: string; codes: MedicineCodes; now: string },
  note: Note,
): OrderReading | null {
  const needed = (column: ColumnName) => {
    const text = row[column].trim()
    if (text === '') note(column, '101', `${column} is missing`)
    return text
  }
  needed('record_number')
  const placer = needed('order_number')
  const code = needed('medicine_code')
  const known = codes.codes.find((each) => each.code === code)
  if (code !== '' && !known) note('medicine_code', '103', `medicine code ${code} is not known here`)
  const amount = amountOf(needed('amount'), note)
  const unit = needed('unit')
  const frequencyText = needed('frequency')
  const frequency = readFrequencyCode(frequencyText)
  if (frequencyText !== '' && !frequency)
    note('frequency', '103', `frequency "${frequencyText}" is not known here`)
  const whyNot = frequency && whyNotTaken(frequency, { everyMinutes: null, statedTimes: [] })
  if (whyNot) note('frequency', '103', whyNot)
  const startAt = time('start', row, timeZone, note) ?? now
  const endAt = time('end', row, timeZone, note)
  if (endAt !== null && endAt < startAt)
    note('end', '102', `the order ends at ${endAt}, before it starts at ${startAt}`)
  const gap = row.not_closer_than_minutes.trim()
  if (gap !== '' && !/^[1-9]\d{0,3}$/.test(gap))
    note('not_closer_than_minutes', '102', `"${gap}" is not a whole number of minutes`)
  if (!known || amount === null || !frequency) return null
  const medicine = {
    medicineId: known.medicineId,
    code,
    text: known.text,
    amountMin: amount,
    amountMax: null,
    unit,
    part: 'medicine' as const,
  }
  const asNeeded = row.as_needed_for.trim()
  const isAsNeeded = asNeeded !== '' || /PRN/i.test(frequencyText)
  const prescriber = row.prescriber.trim()
  return {
    act: 'new',
    placer,
    filler: null,
    effectiveAt: null,
    reason: null,
    order: {
      placer,
      filler: null,
      group: null,
      title: titleOf([medicine]),
      medicines: [medicine],
      route: 'inhalation',
      device: 'nebulizer',
      method: null,
      frequency,
      priority: frequency.stat ? 'stat' : 'routine',
      startAt,
      endAt,
      prn: isAsNeeded
        ? {
            reason: asNeeded || null,
            minimumGapMinutes: gap === '' ? (frequency.everyMinutes ?? null) : Number(gap),
          }
        : null,
      indication: row.indication.trim() || null,
      prescriber: prescriber === '' ? null : { id: '', name: prescriber },
      instruction: null,
    },
  }
}

function amountOf(text: string, note: Note): number | null {
  if (text === '') return null
  const amount = /^\d+(\.\d+)?$/.test(text) ? Number(text) : Number.NaN
  if (amount > 0) return amount
  note('amount', '102', `amount "${text}" is not a number above zero`)
  return null
}

/** Times as YYYY-MM-DD HH:MM by the hospital's clock, or ISO 8601 with an offset. */
function time(column: 'start' | 'end', row: Row, timeZone: string, note: Note): string | null {
  const text = row[column].trim()
  if (text === '') return null
  const match = /^(\d{4})-(\d{2})-(\d{2})[ T](\d{2}):(\d{2})(Z|[+-]\d{2}:?\d{2})?$/.exec(text)
  const offset = match?.[6] === 'Z' ? '+0000' : (match?.[6] ?? '').replace(':', '')
  const read = match ? readTime(`${match.slice(1, 6).join('')}${offset}`, timeZone) : null
  if (read === null) note(column, '102', `"${text}" is not a time as YYYY-MM-DD HH:MM`)
  else if (read.doubt !== null) note(column, '102', `"${text}", ${read.doubt}: write it with its offset`)
  return read?.at ?? null
}
