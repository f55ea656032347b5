import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import table from '../test-data/continuous-dilution.json' with { type: 'json' }
import { type ContinuousOrder, concentrationToLoad, continuousMix, fillsOf, hoursOf } from './mix.ts'

const FIVE = { as: 'mg/mL', mgPerMl: 5 } as const
const order = (more: Partial<ContinuousOrder> = {}): ContinuousOrder => ({
  mgPerH: 10,
  stock: FIVE,
  output: { likelyMlPerH: 25 },
  hours: 4,
  ...more,
})

describe(`dilution table: ${table.source}`, () => {
  it('has all 15 rows', () => {
    expect(table.rows).toHaveLength(15)
  })
  it.each(table.rows)(
    '%s mg/h at %s mL/h',
    (rate, output, drugH, diluentH, strength, drug, diluent, total) => {
      const mix = continuousMix(order({ mgPerH: rate ?? 0, output: { likelyMlPerH: output ?? 0 } }))
      const got = [mix.drugPerHour, mix.diluentPerHour, mix.concentration, mix.drug, mix.diluent, mix.total]
      // the table is printed to four decimals
      const wanted = [drugH, diluentH, strength, drug, diluent, total].map((value) =>
        expect.closeTo(value ?? 0, 4),
      )
      expect(got.map(({ value }) => value)).toEqual(wanted)
    },
  )
})

describe('continuousMix', () => {
  it('10 mg/h over 4 h at 25 mL/h of output: 8 mL of drug, 92 of diluent, 100 in all', () => {
    const mix = continuousMix(order())
    expect([mix.drug.value, mix.diluent.value, mix.total.value]).toEqual([8, 92, 100])
    expect(mix.drug.steps).toEqual([
      '10 mg/h ÷ 25 mL/h = 0.4 mg/mL in the reservoir',
      '25 mL/h × 4 h = 100 mL in all',
      '0.4 mg/mL × 100 mL = 40 mg of drug',
      'strength = 5 mg/mL',
      '40 mg ÷ 5 mg/mL = 8 mL of drug',
    ])
    expect(mix.diluent.steps.at(-1)).toBe('100 mL − 8 mL = 92 mL of diluent')
    expect(mix.drugPerHour.steps).toEqual(['10 mg/h ÷ 5 mg/mL = 2 mL/h of drug'])
    expect(mix.diluentPerHour.steps.at(-1)).toBe('25 mL/h − 2 mL/h = 23 mL/h of diluent')
    expect(mix.pump).toMatchObject({ value: 25, unit: 'mL/h' })
    expect(mix.pump.steps).toEqual(["pump at the cup's own output, 25 mL/h"])
    expect(mix.drugMass).toMatchObject({ value: 40, unit: 'mg' })
  })
  it('makes up what stays behind at the same strength', () => {
    const mix = continuousMix(order({ deadVolumeMl: 10 }))
    expect([mix.total.value, mix.drug.value, mix.concentration.value]).toEqual([110, 8.8, 0.4])
    expect(mix.total.steps).toEqual(['25 mL/h × 4 h + 10 mL that stays behind = 110 mL in all'])
  })
  it('gives what leaves the cup as a range, with the published caution about the mouth', () => {
    const mix = continuousMix(order({ output: { likelyMlPerH: 45.96, lowMlPerH: 37.7, highMlPerH: 55.4 } }))
    expect(mix.leavesCup.value).toBeCloseTo(10, 12)
    expect(mix.leavesCup.spread?.low).toBeCloseTo((10 * 37.7) / 45.96, 10)
    expect(mix.leavesCup.spread?.high).toBeCloseTo((10 * 55.4) / 45.96, 10)
    expect(mix.leavesCup.caution).toBe(
      'what reaches the mouth is a part of this: about 0.09 to 0.5 of the ordered rate in published runs',
    )
    expect(mix.leavesCup.sources.map(({ key }) => key)).toEqual(['definition', 'MCPECK1997', 'BERLINSKI1998'])
    expect(continuousMix(order()).leavesCup.spread).toEqual({ low: 10, high: 10 })
  })
  it('refuses a stock that is too weak, and takes it neat', () => {
    const weak = { as: 'unit dose', amountMg: 2.5, volumeMl: 3 } as const
    expect(continuousMix(order({ stock: { as: 'mg/mL', mgPerMl: 0.4 } })).diluent.value).toBe(0)
    expect(() => continuousMix(order({ mgPerH: 25, stock: weak }))).toThrow(
      'stock strength is 0.833333 mg/mL; allowed: at least 1 mg/mL: the cup puts out 25 mL/h and the dose alone would be 30 mL/h',
    )
  })
  it('refuses outputs out of order', () => {
    const bad = { likelyMlPerH: 25, lowMlPerH: 26, highMlPerH: 30 }
    expect(() => continuousMix(order({ output: bad }))).toThrow(
      'cup output is 26 to 30 around 25 mL/h; allowed: lowest, likely and highest in rising order',
    )
    expect(() => continuousMix(order({ output: { likelyMlPerH: 25, highMlPerH: 24 } }))).toThrow(
      /rising order/,
    )
  })
  it.each([
    [{ mgPerH: 0 }, /^dose rate is 0/],
    [{ hours: Number.NaN }, /^hours is NaN/],
    [{ output: { likelyMlPerH: 0 } }, /^cup output is 0/],
    [{ output: { likelyMlPerH: 25, lowMlPerH: -1 } }, /^lowest cup output is -1/],
    [{ output: { likelyMlPerH: 25, highMlPerH: 0 } }, /^highest cup output is 0/],
    [{ deadVolumeMl: -1 }, /^dead volume is -1/],
    [{ stock: { as: 'mg/mL', mgPerMl: 0 } }, /^strength is 0/],
  ] as const)('refuses %o', (more, message) => {
    expect(() => continuousMix(order(more))).toThrow(message)
  })
  it.each([
    [{ mgPerH: 1e10 }, / mg\/h$/],
    [{ hours: 1e10 }, / h$/],
    [{ output: { likelyMlPerH: 1e10 } }, /^cup output .* mL\/h$/],
    [{ output: { likelyMlPerH: 25, lowMlPerH: 1e10 } }, /^lowest .* mL\/h$/],
    [{ output: { likelyMlPerH: 25, highMlPerH: 1e10 } }, /^highest .* mL\/h$/],
    [{ deadVolumeMl: 1e10 }, / mL$/],
  ] as const)('says what it covers, with the unit: %o', (more, message) => {
    expect(() => continuousMix(order(more))).toThrow(message)
  })
  it('gives every figure its unit, its steps and its source', () => {
    const mix = continuousMix(order())
    const units = Object.entries(mix).map(([name, { unit }]) => [name, unit])
    expect(units).toEqual([
      ['concentration', 'mg/mL'],
      ['drugPerHour', 'mL/h'],
      ['diluentPerHour', 'mL/h'],
      ['drugMass', 'mg'],
      ['drug', 'mL'],
      ['diluent', 'mL'],
      ['total', 'mL'],
      ['pump', 'mL/h'],
      ['leavesCup', 'mg/h'],
    ])
    expect(Object.values(mix).map(({ steps }) => steps.length)).toEqual([1, 1, 2, 3, 5, 3, 1, 1, 1])
    for (const { sources } of Object.values(mix)) expect(sources[0]?.key).toBe('definition')
    expect(mix.leavesCup.steps).toEqual(['0.4 mg/mL × 25 to 25 mL/h = 10 to 10 mg/h'])
  })
  it('drug and diluent are the total, and the total holds the dose of every hour', () => {
    const one = fc.integer({ min: 1, max: 20 })
    fc.assert(
      fc.property(one, one, fc.integer({ min: 10, max: 60 }), (mgPerH, hours, likelyMlPerH) => {
        const mix = continuousMix(order({ mgPerH, hours, output: { likelyMlPerH } }))
        expect(mix.drug.value + mix.diluent.value).toBeCloseTo(mix.total.value, 9)
        expect(mix.drugMass.value).toBeCloseTo(mgPerH * hours, 9)
        expect(mix.concentration.value * likelyMlPerH).toBeCloseTo(mgPerH, 9)
      }),
    )
  })
})

describe('concentrationToLoad', () => {
  it('15 mg/h into a cup that puts out 45.96 mL/h (published mean of a large cup)', () => {
    expect(concentrationToLoad(15, 45.96)).toMatchObject({ value: expect.closeTo(0.32637, 5), unit: 'mg/mL' })
    expect(concentrationToLoad(10, 25).steps).toEqual(['10 mg/h ÷ 25 mL/h = 0.4 mg/mL'])
    expect(() => concentrationToLoad(0, 25)).toThrow(/^dose rate is 0/)
    expect(() => concentrationToLoad(10, 0)).toThrow(/^cup output is 0/)
    expect(() => concentrationToLoad(1e10, 25)).toThrow(/ mg\/h$/)
    expect(() => concentrationToLoad(10, 1e10)).toThrow(/ mL\/h$/)
  })
})

describe('hoursOf and fillsOf', () => {
  it('a bag lasts its volume over its speed', () => {
    expect(hoursOf(100, 25)).toMatchObject({ value: 4, unit: 'h', steps: ['100 mL ÷ 25 mL/h = 4 h'] })
    expect(() => hoursOf(0, 25)).toThrow(/^volume is 0/)
    expect(() => hoursOf(100, 0)).toThrow(/^running speed is 0/)
    expect(() => hoursOf(1e10, 25)).toThrow(/ mL$/)
    expect(() => hoursOf(100, 1e10)).toThrow(/ mL\/h$/)
  })
  it('shares a mix among as many fills as it needs', () => {
    const mix = continuousMix(order())
    const { fills, drugEach, diluentEach } = fillsOf(mix, 60)
    expect([fills.value, drugEach.value, diluentEach.value]).toEqual([2, 4, 46])
    expect(drugEach.steps).toEqual(['100 mL ÷ 60 mL → 2 fills', '8 mL ÷ 2 = 4 mL of drug in each'])
    expect(diluentEach.steps.at(-1)).toBe('92 mL ÷ 2 = 46 mL of diluent in each')
    expect(fillsOf(mix, 100).fills.value).toBe(1)
    expect(fillsOf(mix, 50).fills.value).toBe(2)
    expect(fillsOf(mix, 49.99).fills.value).toBe(3)
    expect([fills.unit, drugEach.unit, fills.steps]).toEqual(['1', 'mL', ['100 mL ÷ 60 mL → 2 fills']])
    expect(() => fillsOf(mix, 0)).toThrow(/^container is 0/)
    expect(() => fillsOf(mix, 1e10)).toThrow(/ mL$/)
  })
})
