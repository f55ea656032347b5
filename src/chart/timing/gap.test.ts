import { describe, expect, it } from 'vitest'
import { BadInput } from '../../clinical/worked.ts'
import { gapSinceLast, prnAvailableAt, prnGapMinutes } from './gap.ts'

const at = (text: string) => `${text}:00.000Z`

describe('gapSinceLast', () => {
  it('warns although both doses lie in their windows: two Q4H doses only two hours apart', () => {
    // due 11:00 and 15:00, given at 12:00 (60 late) and 14:00 (60 early)
    const gap = gapSinceLast(at('2026-03-05T18:00'), at('2026-03-05T20:00'), 180)
    expect(gap).toMatchObject({
      minutes: 120,
      short: true,
      shortByMinutes: 60,
      enoughFrom: at('2026-03-05T21:00'),
    })
  })
  it('counts real time over the night on which the clock skips an hour', () => {
    // 23:00 to 03:00 in New York on 8 March 2026: four hours on the wall
    expect(gapSinceLast(at('2026-03-08T04:00'), at('2026-03-08T07:00'), 180)).toMatchObject({
      minutes: 180,
      short: false,
      shortByMinutes: 0,
    })
  })
  it.each([
    ['a last dose that lies ahead', at('2026-03-05T20:00'), at('2026-03-05T18:00'), 180],
    ['no gap', at('2026-03-05T18:00'), at('2026-03-05T20:00'), 0],
    ['a gap that is no number', at('2026-03-05T18:00'), at('2026-03-05T20:00'), Number.NaN],
    ['a time without zone', '2026-03-05T18:00:00.000', at('2026-03-05T20:00'), 180],
  ])('refuses %s', (_, last, now, gap) => {
    expect(() => gapSinceLast(last, now, gap)).toThrow(BadInput)
  })
})

describe('prnAvailableAt', () => {
  it('adds the least gap to the last dose, in real time', () => {
    const available = prnAvailableAt(at('2026-03-10T13:05'), 120)
    expect(available).toMatchObject({ kind: 'from', at: at('2026-03-10T15:05') })
  })
  it('says any time before the first dose', () => {
    expect(prnAvailableAt(null, 120).kind).toBe('any time')
  })
  it('asks when it was given and the order names no gap', () => {
    const available = prnAvailableAt(at('2026-03-10T13:05'), null)
    expect(available.kind).toBe('ask')
    expect(available.working.cautions).toHaveLength(1)
  })
  it.each([0, -5, Number.POSITIVE_INFINITY])('refuses a gap of %s', (gap) => {
    expect(() => prnAvailableAt(null, gap)).toThrow(BadInput)
  })
})

describe('prnGapMinutes', () => {
  const frequency = { code: 'PRNQ2H', everyMinutes: 120, standardTimes: false }
  it('takes the gap stated, else that of the code, else none', () => {
    expect(prnGapMinutes({ prn: { reason: null, minimumGapMinutes: 240 }, frequency })).toBe(240)
    expect(prnGapMinutes({ prn: { reason: null, minimumGapMinutes: null }, frequency })).toBe(120)
    expect(prnGapMinutes({ prn: null, frequency: null })).toBe(null)
  })
})
