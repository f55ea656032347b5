import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { doorFor, feedWriter } from '../../../test/support/door.ts'
import { Chart } from '../../chart/folds/chart.ts'

const NOW = '2026-03-11T23:00:00.000Z'
const sample = (name: string) => readFileSync(new URL(`./test-data/${name}`, import.meta.url), 'utf8')
const ADMIT = sample('01-adt-a01-admit.hl7')
const ORDER = sample('05-rde-new-qid.hl7')

const aDoor = () => doorFor(feedWriter(7, () => Date.parse(NOW)))
const receive = (text: string, chart = new Chart()) => aDoor().receive('hl7v2', text, chart)
const said = (text: string) =>
  receive(text).map(({ answer }) => [answer.code, ...answer.problems.map((p) => `${p.where} ${p.code}`)])
const target = (range: string) =>
  ADMIT.replace(/OBX\|2[^\r]*/, `OBX|2|SN|SPO2TARGET^Target^99MGF||${range}|%^^UCUM|||||F`)

describe('a value beyond what a fact may hold', () => {
  it.each([
    ['a weight of 0', ADMIT.replace('|71.4|', '|0|'), 'OBX-5'],
    ['a weight of 714 kg', ADMIT.replace('|71.4|', '|714|'), 'OBX-5'],
    ['a target of 20 to 30 %', target('^20^-^30'), 'OBX-5'],
    ['a record number of 41 characters', ADMIT.replace('MB004417^', `${'7'.repeat(41)}^`), 'PID-3'],
    ['an order number of 81 characters', ORDER.replace('P55001', 'P'.repeat(81)), 'ORC-2'],
    ['a route of 81 characters', ORDER.replace('Inhalation', 'I'.repeat(81)), 'RXR-1'],
  ])('%s is answered AE 102 at its place, kept, and makes nothing', (_, text, where) => {
    const [one] = receive(text)
    expect(one?.answer).toMatchObject({ code: 'AE', made: [], problems: [{ where, code: '102' }] })
    expect(one?.answer.text).toMatch(
      new RegExp(`^ERR\\|\\|${where.replace('-', '\\^\\d+\\^')}\\|102\\^`, 'm'),
    )
    expect(one?.facts.map(({ kind }) => kind)).toEqual(['message-received'])
    const [kept] = one?.facts ?? []
    expect(kept?.kind === 'message-received' && kept.body.raw).toBe(text)
  })
  it('at its edges is taken', () => {
    expect([said(ADMIT.replace('|71.4|', '|500|')), said(target('^50^-^60'))]).toEqual([[['AA']], [['AA']]])
  })
  it('names the second weight when that one is too much', () => {
    const second = ADMIT.replace(/OBX\|2[^\r]*/, 'OBX|2|NM|29463-7^Body weight^LN||900|kg^^UCUM|||||F')
    expect(receive(second)[0]?.answer.text).toContain('\rERR||OBX^2^5|102^')
  })
})

describe('a control id that was used before', () => {
  const other = ADMIT.replace('|71.4|', '|68|')
  it('for another message: kept as its own, told with 205, and nothing is made', () => {
    const [, second] = receive(ADMIT + other)
    expect(second?.answer).toMatchObject({
      code: 'AE',
      replayed: false,
      made: [],
      problems: [{ where: 'MSH-10', code: '205' }],
    })
    expect(second?.answer.text).toContain('\rERR||MSH^1^10|205^')
    const [kept] = second?.facts ?? []
    expect(kept?.kind === 'message-received' && kept.body.raw).toBe(other)
  })
  it('gives each its own first answer when both come again', () => {
    const answers = receive(ADMIT + other + ADMIT + other).map(({ answer }) => [answer.code, answer.replayed])
    expect(answers).toEqual([
      ['AA', false],
      ['AE', false],
      ['AA', true],
      ['AE', true],
    ])
  })
  it('does not tell two sendings apart by their line ends', () => {
    const framed = `\u000b${ADMIT.replaceAll('\r', '\r\n')}\u001c\r`
    const chart = new Chart().add(receive(ADMIT).flatMap(({ facts }) => facts))
    expect(receive(framed, chart).map(({ answer }) => answer.replayed)).toEqual([true])
  })
})

describe('frame marks', () => {
  const kept = (text: string) =>
    receive(text).map(({ facts: [fact], answer }) => [
      fact?.kind === 'message-received' ? fact.body.raw : null,
      answer.code,
    ])
  it('gone astray in a paste leave one message unread, and no other', () => {
    const stray = ORDER.replace('albuterol', 'albu\u000bterol')
    expect(kept(ADMIT + stray + sample('02-adt-a02-transfer.hl7'))).toEqual([
      [ADMIT, 'AA'],
      [stray, null],
      [sample('02-adt-a02-transfer.hl7'), 'AA'],
    ])
  })
  it('around one message leave what stands outside kept and unread', () => {
    expect(kept(`PID|lost\r\u000b${ADMIT}\u001c\rleft over`)).toEqual([
      ['PID|lost\r', null],
      [ADMIT, 'AA'],
      ['left over', null],
    ])
  })
  it('without an end leave the text kept and unread, with the reason', () => {
    const [one] = receive(`\u000b${ADMIT}`)
    expect(one?.answer).toMatchObject({ code: null, made: [], problems: [{ code: '100' }] })
    expect(one?.answer.problems[0]?.what).toContain('0x0B')
    expect(one?.facts).toHaveLength(1)
  })
  it('alone do not end a frame: a frame cut short is kept, with its start', () => {
    const cut = `\u000b${ORDER}\u001c`
    expect(kept(`\u000b${ADMIT}\u001c\r${cut}`)).toEqual([
      [ADMIT, 'AA'],
      [cut, null],
    ])
  })
})
