import { describe, expect, it } from 'vitest'
import { BadInput } from '../worked.ts'
import { DOSE_KINDS, doseCalculation, hourlyRate } from './dose-calculation.ts'
import examples from './test-data/worked-examples.json' with { type: 'json' }

/** A row replayed as anyone outside would: JSON in, JSON out. */
function replay(input: unknown): Readonly<Record<string, unknown>> {
  return doseCalculation.run(doseCalculation.input.parse(input)).result
}

function agrees(got: unknown, wanted: unknown, tolerance: number): boolean {
  if (typeof wanted !== 'number') return got === wanted
  return typeof got === 'number' && Math.abs(got - wanted) <= tolerance
}

describe('worked examples, each with its source in the row', () => {
  it('are all 61 there, and use every kind', () => {
    expect(examples.rows).toHaveLength(61)
    expect(new Set(examples.rows.map((row) => row.input.kind)).size).toBe(20)
    const asked = new Set([...examples.rows.map((row) => row.input.kind), 'mcg-per-kg-per-min'])
    expect([...asked].sort()).toEqual(DOSE_KINDS)
  })
  it.each(examples.rows)('$id $input.kind', ({ input, answer, tolerance, source }) => {
    expect(source.length).toBeGreaterThan(3)
    const got = replay(input)
    for (const [name, wanted] of Object.entries(answer)) {
      const ok = agrees(got[name], wanted, tolerance ?? examples.tolerance.value)
      expect({ name, wanted, got: got[name], ok }).toEqual({ name, wanted, got: got[name], ok: true })
    }
  })
})

describe('the working of a replayed row', () => {
  it('shows a limit that changed the dose, with both figures', () => {
    const input = {
      kind: 'weight-based',
      weight_kg: 12,
      mg_per_kg: 0.15,
      min_mg: 2.5,
      concentration_mg_per_mL: 5,
      target_fill_mL: 3,
    }
    const { result, working } = doseCalculation.run(doseCalculation.input.parse(input))
    expect(result).toEqual({
      calculated_mg: 1.8,
      given_mg: 2.5,
      drug_mL: 0.5,
      diluent_mL: 2.5,
      limit_applied: 'raised to the minimum 2.5 mg',
    })
    expect(working.steps).toEqual([
      '12 kg × 0.15 mg/kg = 1.8 mg',
      'raised to the minimum 2.5 mg',
      'strength = 5 mg/mL',
      '2.5 mg ÷ 5 mg/mL = 0.5 mL of drug',
      '3 mL − 0.5 mL = 2.5 mL of diluent',
    ])
    expect(working.cautions).toEqual(['the weight alone gives 1.8 mg'])
    expect(working.sources.map((source) => source.key)).toEqual(['definition'])
  })
})

describe('what is not understood is refused', () => {
  const parses = (input: unknown) => doseCalculation.input.safeParse(input).success

  it.each([
    { kind: 'percent-to-mg-per-mL', percent_w_v: 5, percent: 5 },
    { kind: 'percent-to-mg-per-mL' },
    { kind: 'percent-to-mg-per-mL', percent_w_v: '5' },
    { kind: 'percent-to-mg-per-mL', percent_w_v: Number.NaN },
    { kind: 'no such kind', percent_w_v: 5 },
    { percent_w_v: 5 },
  ])('%o', (input) => {
    expect(parses(input)).toBe(false)
  })
  it.each([
    { kind: 'percent-to-mg-per-mL', percent_w_v: 0 },
    { kind: 'ratio-to-mg-per-mL', ratio: '5 %' },
    { kind: 'volume-to-mg', strength: '0,5 %', volume_mL: 1 },
    { kind: 'dilute-to-fill', dose_mg: 20, concentration_mg_per_mL: 5, target_fill_mL: 3 },
    { kind: 'count-units', dose_mcg: 15, unit_mcg: 15 },
    { kind: 'count-units', dose_mcg: 15, unit_mcg: 15, unit_mL: 2, breaths: 3 },
    { kind: 'count-units', breaths: 3, mcg_per_breath: 6, times_per_day: 4, unit_mL: 2 },
    { kind: 'count-units', breaths: 3, mcg_per_breath: 6, unit_mL: 2 },
    { kind: 'refuse' },
  ])('a typed error for %o', (input) => {
    expect(() => replay(input)).toThrow(BadInput)
  })
  it('says which fields go together', () => {
    expect(() => replay({ kind: 'count-units', dose_mcg: 15, unit_mcg: 15 })).toThrow(
      'count is dose_mcg, unit_mcg; allowed: dose_mcg, unit_mcg and unit_mL for unit doses; or breaths, mcg_per_breath and times_per_day for breaths',
    )
    const mixed = [
      { dose_mcg: 15, unit_mcg: 15, breaths: 3 },
      { dose_mcg: 15, unit_mL: 2, breaths: 3 },
      { unit_mcg: 15, unit_mL: 2, breaths: 3 },
      { breaths: 3, mcg_per_breath: 6, unit_mL: 2 },
      { breaths: 3, times_per_day: 4, unit_mL: 2 },
      { mcg_per_breath: 6, times_per_day: 4, unit_mL: 2 },
    ]
    for (const fields of mixed)
      expect(() => replay({ kind: 'count-units', ...fields })).toThrow(/^count is .*, .*, .*; allowed/)
    expect(() => replay({ kind: 'ratio-to-mg-per-mL', ratio: '5 %' })).toThrow(
      'ratio is 5 %; allowed: a strength written as 1:n',
    )
  })
  it('shows how micrograms became milliliters, and joins reasons', () => {
    const { working } = doseCalculation.run(
      doseCalculation.input.parse({ kind: 'units', dose_mcg: 500, strength: '0.02 %' }),
    )
    expect(working.steps).toEqual([
      '500 mcg ÷ 1000 = 0.5 mg',
      '0.02 g per 100 mL = 0.2 mg/mL',
      '0.5 mg ÷ 0.2 mg/mL = 2.5 mL',
    ])
    expect(replay({ kind: 'refuse', strength: '0 %', dose_mg: 0 })).toEqual({
      refused: true,
      reason:
        'dose is 0; allowed: a finite number above zero; percent is 0; allowed: a finite number above zero',
    })
  })
  it('turns a rate per kilogram and minute into one per hour, and into the speed of a pump', () => {
    const asked = { kind: 'mcg-per-kg-per-min', mcg_kg_min: 5, weight_kg: 20, concentration_mg_per_mL: 0.4 }
    expect(replay(asked)).toEqual({ rate_mg_per_h: 6, pump_mL_per_h: 15 })
    expect(() => replay({ ...asked, weight_kg: 0 })).toThrow(/^weight is 0/)
  })
  it('takes the hourly rate one way only', () => {
    expect(hourlyRate({ mg_per_h: 10 })).toMatchObject({ value: 10, steps: ['ordered: 10 mg/h'] })
    expect(hourlyRate({ weight_kg: 16, mg_per_kg_h: 0.5 }).value).toBe(8)
    expect(hourlyRate({ weight_kg: 38, mg_per_kg_h: 0.5, cap_mg_h: 15 }).value).toBe(15)
    const unclear = [
      {},
      { mg_per_h: 10, mg_per_kg_h: 0.5, weight_kg: 20 },
      { mg_per_h: 10, cap_mg_h: 15 },
      { weight_kg: 20 },
      { mg_per_kg_h: 0.5 },
    ]
    for (const fields of unclear) expect(() => hourlyRate(fields)).toThrow(/mg_per_h by itself/)
  })
  it('says when a kind named refuse finds nothing to refuse', () => {
    expect(replay({ kind: 'refuse', dose_mg: 10, max_single_mg: 10 })).toEqual({
      refused: false,
      reason: null,
    })
  })
})
