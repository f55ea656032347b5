import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { doorFor, feedWriter } from '../../../test/support/door.ts'
import { MEDICINE_CODES } from '../../chart/documents/medicine-codes.ts'
import { Chart } from '../../chart/folds/chart.ts'
import { idOfNumber } from '../../chart/ids.ts'
import { readFact, writeFact } from '../../chart/registry.ts'
import { COLUMNS, readOrderList } from './order-list.ts'

const NOW = '2026-03-11T23:00:00.000Z'
const SEED = 20260312
const SETTINGS = { timeZone: 'America/New_York', codes: MEDICINE_CODES.defaults, now: NOW }
const HEADER = COLUMNS.join(',')
const GOOD = 'MB004417,L1,MED0101,2.5,mg,Q4H,2026-03-12 07:00,2026-03-14 07:00,,,wheeze,Dr. H'
const AS_NEEDED = 'MB004417,L2,MED0101,2.5,mg,PRN,,,"wheeze, at night",120,asthma,Dr. H'
const list = (...rows: string[]) => `${[HEADER, ...rows].join('\n')}\n`
const told = (text: string) =>
  readOrderList(text, SETTINGS).problems.map(({ where, code }) => `${where} ${code}`)

const WRITER = feedWriter(SEED, () => Date.parse(NOW))
const door = doorFor(WRITER, SETTINGS.timeZone)
const PATIENT = { patientId: idOfNumber('patient', 'marrowby', 'MB004417') }
const census = () =>
  new Chart().add([
    writeFact(WRITER, 'census-updated', PATIENT, {
      event: 'admitted',
      patch: { mrn: 'MB004417', family: 'Okonjo-Vale' },
    }),
  ])

describe('an order list', () => {
  it('with good rows has no problem', () => {
    const { rows, problems } = readOrderList(list(GOOD, AS_NEEDED), SETTINGS)
    expect(problems).toEqual([])
    expect(rows.map(({ line, reading }) => [line, reading.order?.prn?.reason ?? null])).toEqual([
      [2, null],
      [3, 'wheeze, at night'],
    ])
  })
  it.each([
    ['a row with a comma too many', list(`${GOOD},more`), ['row 2 102']],
    ['a row that is cut off', list('MB004417,L1,MED0101,2.5,mg,Q4H'), ['row 2 102']],
    ['a bad row after a blank line', list('', GOOD.replace('2.5', 'two')), ['row 3, amount 102']],
    ['a column that stands twice', list(GOOD).replace(HEADER, `${HEADER},unit`), ['header 101']],
    ['an end before the start', list(GOOD.replace('2026-03-14', '2026-03-10')), ['row 2, end 102']],
    [
      'a start that the clock skips',
      list(GOOD.replace('2026-03-12 07:00', '2026-03-08 02:30')),
      ['row 2, start 102'],
    ],
    [
      'an end that the clock shows twice',
      list(GOOD.replace('2026-03-14 07:00', '2026-11-01 01:30')),
      ['row 2, end 102'],
    ],
    ['minutes where hours were meant', list(GOOD.replace('Q4H', 'Q4M')), ['row 2, frequency 103']],
  ])('tells %s', (_, text, want) => {
    expect(told(text)).toEqual(want)
    expect(readOrderList(text, SETTINGS).rows).toEqual([])
  })
  it('takes an hour that comes twice with its offset', () => {
    const second = list(GOOD.replace('2026-03-14 07:00', '2026-11-01 01:30-05:00'))
    expect(readOrderList(second, SETTINGS).rows[0]?.reading.order?.endAt).toBe('2026-11-01T06:30:00.000Z')
  })
  it('makes nothing of a row beyond what an order may hold, and the rest of the others', () => {
    const long = AS_NEEDED.replace('L2', 'L'.repeat(81))
    const [one] = door.receive('csv', list(long, GOOD), census())
    expect(one?.answer.problems.map(({ where, code }) => [where, code])).toEqual([
      ['row 2, order.placer', '102'],
    ])
    expect(one?.answer.made.filter(({ kind }) => kind === 'order-placed')).toHaveLength(1)
  })
})

/** What goes wrong with lists on their way: characters and lines lost, doubled, moved or put in. */
const PUT = [
  '',
  ',',
  '"',
  '\n',
  '\r',
  '0',
  '-1',
  '1e9',
  '9'.repeat(500),
  ';',
  '\t',
  'Ü',
  '\u0000',
  '=1+1',
  '2026-02-30 07:00',
]
const damage = fc.tuple(fc.integer({ min: 0, max: 3 }), fc.nat(), fc.nat(), fc.constantFrom(...PUT))

function damaged(text: string, [kind, at, other, put]: readonly [number, number, number, string]): string {
  const place = at % (text.length + 1)
  const lines = text.split('\n')
  if (kind === 0) return text.slice(0, place) + put + text.slice(place + (other % 3))
  if (kind === 1) return text.slice(0, place)
  if (kind === 2) return lines.toSpliced(other % lines.length, 0, lines[at % lines.length] ?? '').join('\n')
  const cells = (lines[at % lines.length] ?? '').split(',')
  return lines.with(at % lines.length, cells.with(other % cells.length, put).join(',')).join('\n')
}

describe('a damaged order list', () => {
  it('is kept whole, every row is an order or a problem, and whatever is made can be read back', () => {
    const chart = census()
    let [good, faulty] = [0, 0]
    fc.assert(
      fc.property(fc.array(damage, { minLength: 1, maxLength: 3 }), (damages) => {
        const text = damages.reduce(damaged, list(GOOD, AS_NEEDED))
        const [one, ...more] = door.receive('csv', text, chart)
        expect(more).toEqual([])
        const [kept, ...made] = one?.facts ?? []
        expect(kept?.kind === 'message-received' && kept.body.raw).toBe(text)
        expect([kept, ...made].map((fact) => readFact(fact).ok)).not.toContain(false)
        const problems = one?.answer.problems ?? []
        expect(one?.answer.code).toBe(problems.length === 0 ? 'AA' : 'AE')
        expect(
          problems.every(({ where, code, what }) => where !== '' && what !== '' && /^\d{3}$/.test(code)),
        ).toBe(true)
        const { rows, problems: unread } = readOrderList(text, SETTINGS)
        const inTable = unread.some(({ where }) => where === 'header' || where === 'the list')
        const numbers = new Set([
          ...rows.map(({ line }) => line),
          ...unread.map(({ where }) => Number(/^row (\d+)/.exec(where)?.[1])),
        ])
        // A row is there or told once; none is passed over, unless the list as a whole was refused.
        if (!inTable) expect(numbers.size).toBe(dataRows(text))
        if (problems.length === 0) good += 1
        else faulty += 1
      }),
      { numRuns: 2000, seed: SEED },
    )
    expect(Math.min(good, faulty)).toBeGreaterThan(100)
  })
})

/** Rows after the header, counted another way: line ends outside quotes part them, blank lines are none. */
function dataRows(text: string): number {
  let quoted = false
  const parted = [...text].map((char) => {
    if (char === '"') quoted = !quoted
    return /[\r\n]/.test(char) && quoted ? ' ' : char
  })
  const lines = parted
    .join('')
    .split(/[\r\n]/)
    .filter((line) => line !== '')
  return Math.max(0, lines.length - 1)
}
