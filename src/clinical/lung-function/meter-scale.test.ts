import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { OutsideValidity } from '../worked.ts'
import { type MeterScale, onOneScale, wrightToEu } from './meter-scale.ts'

const flow = (lPerMin: number, scale: MeterScale) => ({ lPerMin, scale })

describe('Wright scale to EU scale (from memory)', () => {
  it('works in the open', () => {
    expect(wrightToEu(300)).toEqual({
      value: expect.closeTo(246.6688, 4),
      unit: 'L/min',
      steps: ['EU = 50.356 + 0.4 × 300 + 0.0008814 × 300² − 0.0000001116 × 300³ = 246.7 L/min'],
      sources: [expect.objectContaining({ key: 'WRIGHT_TO_EU', standing: 'from memory' })],
      validity: 'Wright-scale readings of 60 to 800 L/min',
      caution: 'The conversion is known from memory.',
    })
  })
  it('reads high in the middle and low at the top, as the papers say of the older meter', () => {
    expect(wrightToEu(300).value).toBeLessThan(300 - 50)
    expect(wrightToEu(700).value).toBeGreaterThan(700 + 20)
  })
  it('rises all the way, from one end to the other and no further', () => {
    fc.assert(
      fc.property(fc.double({ min: 60, max: 799, noNaN: true }), (reading) => {
        expect(wrightToEu(reading + 1).value).toBeGreaterThan(wrightToEu(reading).value)
      }),
    )
    for (const outside of [59.9, 800.1, Number.NaN])
      expect(() => wrightToEu(outside)).toThrow(OutsideValidity)
  })
})

describe('two flows on one scale', () => {
  it('leaves one scale as it is', () => {
    expect(onOneScale(flow(300, 'Wright'), flow(400, 'Wright'))).toEqual({
      first: 300,
      second: 400,
      scale: 'Wright',
      steps: [],
      sources: [],
      cautions: [],
    })
  })
  it('takes EU, ATS and spirometric for one family', () => {
    const scales = ['EU', 'ATS', 'spirometric'] as const
    for (const first of scales) {
      for (const second of scales) {
        const met = onOneScale(flow(300, first), flow(400, second))
        expect(met).toMatchObject({ first: 300, second: 400, scale: first, cautions: [] })
      }
    }
  })
  it('converts whichever is on the Wright scale', () => {
    const caution =
      'Wright and true-flow scales met: compared on the EU scale, by a conversion known from memory.'
    const first = onOneScale(flow(300, 'Wright'), flow(400, 'spirometric'))
    expect(first).toMatchObject({
      first: wrightToEu(300).value,
      second: 400,
      scale: 'EU',
      cautions: [caution],
    })
    expect(first.steps).toEqual(wrightToEu(300).steps)
    expect(first.sources).toHaveLength(1)
    const second = onOneScale(flow(300, 'EU'), flow(400, 'Wright'))
    expect(second).toMatchObject({ first: 300, second: wrightToEu(400).value, scale: 'EU' })
    expect(second.steps).toEqual(wrightToEu(400).steps)
  })
  it('compares what nobody stated only with its like, and says so', () => {
    expect(onOneScale(flow(300, 'not stated'), flow(400, 'not stated')).cautions).toEqual([
      'The scale of the meter is not stated: compare only readings of one meter.',
    ])
    for (const stated of ['EU', 'ATS', 'spirometric', 'Wright'] as const) {
      expect(() => onOneScale(flow(300, stated), flow(400, 'not stated'))).toThrow(
        `scale is not stated; allowed: EU, ATS, spirometric, Wright: the other flow is on the ${stated} scale`,
      )
      expect(() => onOneScale(flow(300, 'not stated'), flow(400, stated))).toThrow('scale')
    }
  })
})
