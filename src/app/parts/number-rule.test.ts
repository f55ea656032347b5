import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { entryText, type NumberRule, verdict, withUnit } from './number-rule.ts'

const heart: NumberRule = {
  name: 'Heart rate',
  unit: '/min',
  decimals: 0,
  possible: { low: 0, high: 400 },
  plausible: { low: 30, high: 220 },
}
const flow: NumberRule = {
  name: 'Flow',
  unit: 'L/min',
  decimals: 1,
  possible: { low: 0.1, high: 80 },
  plausible: { low: 0.5, high: 15 },
}

describe('the text of an entry', () => {
  it.each([
    ['084', 0, '84'],
    ['0', 0, '0'],
    ['', 0, ''],
    ['2,5', 1, '2.5'],
    ['.5', 1, '0.5'],
    ['2.', 1, '2.'],
    [' 92 ', 0, '92'],
  ])('%j with %i decimals reads %j', (raw, decimals, text) => {
    expect(entryText(raw, { decimals })).toBe(text)
  })

  it.each([
    ['2.5', 0],
    ['2.55', 1],
    ['1.2.3', 2],
    ['-4', 0],
    ['1e3', 0],
    ['9x', 0],
    ['1234567890', 0],
  ])('%j with %i decimals is not taken', (raw, decimals) => {
    expect(entryText(raw, { decimals })).toBeNull()
  })

  it('reads its own text again unchanged', () => {
    fc.assert(
      fc.property(fc.string({ unit: fc.constantFrom(...'0123456789.,') }), fc.nat(3), (raw, decimals) => {
        const once = entryText(raw, { decimals })
        if (once !== null) expect(entryText(once, { decimals })).toBe(once)
      }),
    )
  })
})

describe('what an entry amounts to', () => {
  it.each(['30', '220', '84'])('%s is usual, both ends included', (text) => {
    expect(verdict(text, heart)).toEqual({ kind: 'usual', value: Number(text) })
  })

  it.each(['29', '221', '0', '400'])('%s is asked about', (text) => {
    expect(verdict(text, heart)).toMatchObject({ kind: 'odd', value: Number(text) })
  })

  it('asks with the figure, its unit and the limits in the question', () => {
    const asked = verdict('260', heart)
    expect(asked).toEqual({
      kind: 'odd',
      value: 260,
      question: 'Heart rate 260/min: outside 30 to 220. Is that what you read?',
    })
  })

  it.each(['401', '9999'])('%s is never taken', (text) => {
    expect(verdict(text, heart).kind).toBe('impossible')
  })

  it('takes a point with nothing after it as the whole number, and nothing as empty', () => {
    expect(verdict('2.', flow)).toEqual({ kind: 'usual', value: 2 })
    expect(verdict('', flow)).toEqual({ kind: 'empty' })
  })

  it('keeps units as the trade writes them', () => {
    expect(withUnit('92', '/min')).toBe('92/min')
    expect(withUnit('94', '%')).toBe('94 %')
    expect(withUnit('3', '')).toBe('3')
  })
})
