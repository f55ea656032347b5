import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { MEDICINE_CODES } from '../../chart/documents/medicine-codes.ts'
import { readHl7 } from './read-hl7.ts'

const sample = (name: string) => readFileSync(new URL(`./test-data/${name}`, import.meta.url), 'utf8')
const ORDER = sample('05-rde-new-qid.hl7')
const SETTINGS = {
  timeZone: 'America/New_York',
  codes: MEDICINE_CODES.defaults,
  us: { application: 'THERAPY', facility: 'MARROWBY', controlId: 'A1', now: '2026-03-10T12:00:00.000Z' },
}
const read = (text: string) => readHl7(text, SETTINGS)
const problems = (text: string) => read(text).problems.map(({ where, code }) => `${where} ${code}`)
const words = (text: string) => read(text).problems.map(({ what }) => what)
function orders(text: string) {
  const { content } = read(text)
  if (content.kind !== 'orders') throw new Error(`no orders: ${JSON.stringify(read(text).problems)}`)
  return content.orders
}
/** The sample with another TQ1, from field 2 on. */
const timed = (fields: string) => ORDER.replace(/TQ1[^\r]*/, `TQ1|1|${fields}`)
const START = '20260310070000-0500'
const older = (timing: string) => ORDER.replace(/TQ1[^\r]*\r/, '').replace('RXE||', `RXE|${timing}|`)

describe('an order', () => {
  it('is not known by the number of whoever fills it', () => {
    expect(problems(ORDER.replace('P55001^ORDERS', ''))).toEqual(['ORC-2 101'])
  })
  it('without a route, or with two, is refused', () => {
    expect(problems(ORDER.replace(/RXR[^\r]*\r/, ''))).toEqual(['RXR-1 101'])
    expect(problems(`${ORDER}RXR|PO^Oral^HL70162\r`)).toEqual(['RXR-1 103'])
  })
  it.each(['NW', 'XO'])('that is to be given (%s) and does not say what is refused', (control) => {
    const only = ORDER.replace('ORC|NW', `ORC|${control}`).replace(/RXE[\s\S]*$/, '')
    expect(problems(only)).toEqual(['ORC 100'])
  })
  it.each([
    ['HD', 'hold'],
    ['DC', 'discontinue'],
    ['RL', 'release'],
  ])('%s may be its number alone, in RDE and OMP', (control, act) => {
    const only = ORDER.replace('ORC|NW', `ORC|${control}`).replace(/RXE[\s\S]*$/, '')
    const other = only.replace('RDE^O11^RDE_O11', 'OMP^O09^OMP_O09')
    expect([only, other].map((text) => orders(text)[0])).toMatchObject([
      { act, placer: 'P55001', order: null },
      { act, placer: 'P55001', order: null },
    ])
  })
  it('as asked for does not double the mixture as encoded', () => {
    const mixture = sample('06-rde-two-orders-mix-prn.hl7')
    const asked = mixture.replace(
      'RXE||MIX',
      'RXO|MIX0007^mixture|3||mL\rRXR|IH\rRXC|A|MED0101^albuterol|5|mg\rRXE||MIX',
    )
    expect(orders(asked)[0]?.order?.medicines).toEqual(orders(mixture)[0]?.order?.medicines)
  })
})

describe('what a timing says and cannot be kept is refused, not left out', () => {
  it.each([
    ['a second TQ1', `${ORDER.replace(/(TQ1[^\r]*\r)/, '$1TQ1|2|1|BID\r')}`, 'TQ1-3', 'second timing'],
    ['a repeated pattern', timed('1|QID~Q2H'), 'TQ1-3', 'more than one repeat pattern'],
    ['a quantity above 1', timed('2|QID'), 'TQ1-2', 'quantity of 2'],
    ['a count that tells no end', timed(`1|QID||||${START}|||||||5`), 'TQ1-8', 'how often in all (5)'],
    ['a duration from no start', timed('1|QID|||3^d'), 'TQ1-8', 'not from when'],
    ['a duration in months', timed(`1|QID|||2^mo|${START}`), 'TQ1-6', 'duration of "2 mo"'],
    [
      'a duration and another end',
      timed(`1|QID|||3^d|${START}|20260314070000-0500`),
      'TQ1-8',
      'several ends',
    ],
    ['a time before meals', timed('1|QID||30^min&AC'), 'TQ1-5', 'relative'],
    ['a length of each treatment', timed('1|QID||||||||||10^min'), 'TQ1-13', 'each treatment'],
    ['a period of no unit', timed('1|QID^^^^4'), 'TQ1-3', 'interval of "4 "'],
    ['two older timings', older('1^QID~1^Q2H'), 'RXE-1', 'more than one timing'],
    ['an older quantity of 3', older('3^QID'), 'RXE-1', 'quantity of 3'],
    ['an older duration in months', older(`1^QID^L2^${START}`), 'RXE-1', 'duration of "2 L"'],
    ['an older count', older(`1^QID^X5^${START}`), 'RXE-1', 'how often in all (5)'],
    ['an older time of no clock', older('1^Q6H&0600,2560'), 'RXE-1', '"2560"'],
  ])('%s', (_, text, where, what) => {
    const [first, ...more] = read(text).problems
    expect(first).toMatchObject({ where })
    expect(['102', '103']).toContain(first?.code)
    expect(first?.what).toContain(what)
    expect(more).toEqual([])
    expect(read(text).content.kind).toBe('nothing')
  })
  it.each([
    ['a duration', timed(`1|QID|||12^h|${START}`), '2026-03-11T00:00:00.000Z'],
    [
      'a duration and the same end',
      timed(`1|QID|||12^h|${START}|20260310190000-0500`),
      '2026-03-11T00:00:00.000Z',
    ],
    ['a count of an interval', timed(`1|Q20M||||${START}|||||||3`), '2026-03-10T13:00:00.000Z'],
    ['an older duration', older(`1^QID^H12^${START}`), '2026-03-11T00:00:00.000Z'],
    ['one dose', timed(`1|ONCE||||${START}|||||||1`), null],
  ])('but %s that is exact gives the end', (_, text, end) => {
    expect(orders(text)[0]?.order?.endAt).toBe(end)
  })
  it('a duration of days over a change of the clock is refused: its days are not of one length', () => {
    // Clocks in New York go forward on 8 March 2026.
    expect(problems(timed('1|QID|||3^d|20260306070000-0500'))).toEqual(['TQ1-8 103'])
  })
  it('words and a condition beside a schedule go to whoever gives it', () => {
    const text = timed(`1|QID||||${START}|||only in waking hours|after the cough`)
    expect(orders(text)[0]?.order?.instruction).toBe(
      'Via mouthpiece with oxygen 6 L/min\nafter the cough\nonly in waking hours',
    )
  })
})

describe('a timing that speaks against itself is refused', () => {
  it.each([
    ['Q4H every 6 hours', timed('1|Q4H^^^^6^h'), 'TQ1-3 103', 'every 240 minutes'],
    ['QID every 6 hours', timed('1|QID^^^^6^h'), 'TQ1-3 103', 'no interval'],
    ['TID at two times', timed('1|TID|0600~1800'), 'TQ1-3 103', '3 times a day, and 2 times'],
    ['BID at one time twice', timed('1|BID|0600~0600'), 'TQ1-3 103', 'stated twice'],
    [
      'an end before the start',
      timed(`1|QID||||${START}|20260309070000-0500`),
      'TQ1-8 102',
      'before it starts',
    ],
    ['Q4M', timed('1|Q4M'), 'TQ1-3 103', 'every 4 minutes'],
    ['every 5 minutes beside no code', timed('1|^^^^5^min'), 'TQ1-3 103', 'every 5 minutes'],
  ])('%s', (_, text, where, what) => {
    expect(problems(text)).toEqual([where])
    expect(words(text)[0]).toContain(what)
  })
  it.each([
    ['Q4H every 4 hours', '1|Q4H^^^^4^h', { code: 'Q4H', everyMinutes: 240 }],
    ['TID at three times', '1|TID|0600~1400~2200', { statedTimes: ['06:00', '14:00', '22:00'] }],
    ['Q20M', '1|Q20M', { everyMinutes: 20, standardTimes: false }],
  ])('but %s is taken', (_, fields, want) => {
    expect(orders(timed(fields))[0]?.order?.frequency).toMatchObject(want)
  })
})

describe('a time by the wall clock of a night on which the clock is changed', () => {
  const start = (text: string) => timed(`|Q4H^^HL70335||||${text}`)
  // IANA time zone data, America/New_York: 8 March 2026 02:00 becomes 03:00; 1 November 2026 02:00 becomes 01:00.
  it.each([
    ['202603080230', '2026-03-08T07:30:00.000Z', /does not exist in America\/New_York/],
    ['202611010130', '2026-11-01T05:30:00.000Z', /comes twice in America\/New_York/],
  ])('%s without an offset is taken as %s, and told as a question', (text, at, words) => {
    const { problems: told, answer } = read(start(text))
    expect(orders(start(text))[0]).toMatchObject({ order: { startAt: at } })
    expect(told).toEqual([{ where: 'TQ1-7', code: '102', what: expect.stringMatching(words) }])
    expect(told[0]?.what).toContain(`no offset is told, and ${at} is taken`)
    expect(answer?.code).toBe('AA')
    expect(answer?.text).toMatch(/\rERR\|\|TQ1\^1\^7\|102\^[^|]+\^HL70357\|W\|/)
  })
  it.each([
    '202603080230-0500',
    '202611010130-0400',
    '202603080130',
    '202603080300',
    '202611010030',
    '202611010200',
  ])('%s leaves no doubt', (text) => {
    expect(read(start(text)).problems).toEqual([])
    expect(read(start(text)).answer?.text).not.toContain('ERR|')
  })
  it('of the message itself places nothing and is not asked about', () => {
    const sent = ORDER.replace(/^(MSH(?:\|[^|]*){5}\|)[^|]*/, '$1202611010130')
    expect(sent).not.toBe(ORDER)
    expect(read(sent).problems).toEqual([])
  })
  it('is told beside what is wrong, which still refuses the message', () => {
    const { problems: told, answer, content } = read(start('202611010130').replace(/RXR[^\r]*\r/, ''))
    expect(told.map(({ where }) => where)).toEqual(['RXR-1', 'TQ1-7'])
    expect([answer?.code, content.kind]).toEqual(['AE', 'nothing'])
  })
})
