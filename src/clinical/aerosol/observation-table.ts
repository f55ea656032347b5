import { isInside, type Observation, observations } from './observations.ts'
import { AEROSOL_SOURCES } from './sources.ts'

/** The table in docs/models.md: the model beside every published observation. `npm run bench -- observations` writes it. */
export function observationTable(): string {
  const all = observations()
  const used = [...new Set(all.map(({ source }) => source))]
  return [
    '## The aerosol model beside published observations',
    '',
    'Made by `npm run bench -- observations`; a test compares it with what the model makes now.',
    'One set of figures for jet cups (src/clinical/aerosol/data/cup-kinds.table.json) stands behind every row.',
    'Rows marked “put in” are not predictions: the figure itself came from that source. Where a source gives words',
    '(“nearly”, “above”) or a single figure, the interval is our reading of it.',
    'Where nothing else is told: dry gas, room at 22 Cel, sea level, adult of 500 mL, 15/min, 1 : 1, no tube.',
    '',
    ...aligned([['observation', 'published', 'ours', 'unit', 'inside', 'source'], ...all.map(row)]),
    '',
    `${all.filter(isInside).length} of ${all.length} inside.`,
    '',
    '### Published, and not compared',
    '',
    '- Droplets were 15 % of the loss in one older glass and plastic type (DENNIS_1990): another kind of cup.',
    '- Four hours of continuous nebulization (BERLINSKI_1998): the gas flow is not told, so neither the strength that',
    '  stayed nearly level nor the 5.7 to 8.0 mg/h that left as droplets can be held against a run of the model.',
    '- Two continuous systems (VOLUME_OUTPUT): their output is used as it was measured, not predicted.',
    '',
    '### Sources of the table',
    '',
    ...used.map((key) => {
      const { cite, place, standing } = AEROSOL_SOURCES[key]
      return `- ${key}: ${cite}${place ? ` (${place})` : ''}. Standing: ${standing}.`
    }),
    '',
  ].join('\n')
}

function row(observation: Observation): string[] {
  const { what, published, ours, unit, source } = observation
  const told =
    published.low === published.high
      ? show(published.low)
      : `${show(published.low)} to ${show(published.high)}`
  const own =
    ours.low !== undefined && ours.high !== undefined
      ? `${show(ours.likely)} (${show(ours.low)} to ${show(ours.high)})`
      : show(ours.likely)
  return [what, told, own, unit, isInside(observation) ? 'yes' : 'no', source]
}

/** Rows of a table in columns of equal width, the first being its head. */
function aligned(rows: readonly (readonly string[])[]): string[] {
  const widths = (rows[0] ?? []).map((_, column) =>
    Math.max(...rows.map((cells) => cells[column]?.length ?? 0)),
  )
  const line = (cells: readonly string[]) =>
    `| ${cells.map((cell, i) => cell.padEnd(widths[i] ?? 0)).join(' | ')} |`
  const rule = line(widths.map((width) => '-'.repeat(width)))
  const [head, ...body] = rows.map(line)
  return [head ?? '', rule, ...body]
}

function show(value: number): string {
  return String(Number(value.toPrecision(3)))
}
