import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { BadInput } from '../worked.ts'
import { MEDICINE_CALCULATIONS } from './calculations.ts'

/** Asked for by name, JSON in and JSON out. */
function run(name: string, input: unknown) {
  const found = MEDICINE_CALCULATIONS.find((each) => each.name === name)
  if (!found) throw new Error(`no calculation ${name}`)
  const { result, working } = found.run(found.input.parse(input))
  return { result: JSON.parse(JSON.stringify(result)), working }
}
const parses = (name: string, input: unknown) =>
  MEDICINE_CALCULATIONS.find((each) => each.name === name)?.input.safeParse(input).success

describe('the list', () => {
  it('has seven, each with a purpose and a schema that can be written down', () => {
    expect(MEDICINE_CALCULATIONS.map(({ name }) => name)).toEqual([
      'dose',
      'continuous',
      'mixture',
      'order-review',
      'daily-total',
      'planned-total',
      'course-day',
    ])
    for (const { purpose, input } of MEDICINE_CALCULATIONS) {
      expect(purpose.length).toBeGreaterThan(20)
      expect(z.toJSONSchema(input)).toHaveProperty('$schema')
    }
  })
})

describe('mixture', () => {
  it('answers about two drugs under the names of the published table', () => {
    const { result, working } = run('mixture', { a: 'budesonide', b: 'albuterol' })
    expect(result).toMatchObject({
      a: 'budesonide',
      b: 'albuterol',
      in_vitro: 'compatible',
      use_within_min: 30,
      verdict: 'refuse',
      label_position: { position: 'forbids' },
    })
    expect(working.sources.map(({ key }) => key)).toContain('KAMIN2006')
    expect(working.steps[0]).toContain('a label forbids it')
  })
  it('makes up a cup', () => {
    const { result, working } = run('mixture', {
      portions: [{ medicineId: 'albuterol', supplyId: '0.5-bottle', volumeMl: 0.5 }],
      targetFillMl: 3,
      cup: { nebulizer: 'jet' },
    })
    expect(result).toMatchObject({ drugMl: 0.5, diluentMl: 2.5, verdict: 'share', findings: [] })
    expect(working.steps).toContain('3 mL − 0.5 mL = 2.5 mL of diluent')
    expect(working.sources.map(({ key }) => key)).toEqual(['definition', 'ALB_LABEL_05'])
  })
  it('refuses unknown fields', () => {
    expect(parses('mixture', { a: 'x', b: 'y', c: 'z' })).toBe(false)
    expect(parses('mixture', { a: 'x' })).toBe(false)
  })
})

describe('continuous', () => {
  it('10 mg/h, 5 mg/mL, 25 mL/h, 4 h', () => {
    const { result } = run('continuous', { mg_h: 10, stock_mg_mL: 5, cup_output_mL_h: 25, hours: 4 })
    expect(result).toEqual({
      mg_h: 10,
      concentration_mg_mL: 0.4,
      drug_mL: 8,
      diluent_mL: 92,
      total_mL: 100,
      drug_mg: 40,
      drug_mL_h: 2,
      diluent_mL_h: 23,
      pump_mL_h: 25,
      leaves_cup_mg_h: 10,
      leaves_cup_range_mg_h: { low: 10, high: 10 },
    })
  })
  it('the concentration alone', () => {
    const { result } = run('continuous', {
      mg_h: 15,
      cup_output_mL_h: { mean: 45.96, low: 37.7, high: 55.4 },
    })
    expect(result).toEqual({ mg_h: 15, concentration_mg_mL: expect.closeTo(0.3264, 4) })
  })
  it('by weight, in fills, with what becomes of the level', () => {
    const { result } = run('continuous', {
      mg_kg_h: 0.5,
      weight_kg: 38,
      cap_mg_h: 15,
      cup_output_mL_h: { mean: 15, low: 15, high: 16.6 },
      stock_mg_mL: 5,
      hours: 4,
      dead_volume_mL: 5,
      container_mL: 50,
      pump_mL_h: 16,
      cup_start_mL: 4,
      cup_capacity_mL: 18,
      cup_dry_mL: 1,
    })
    expect(result).toMatchObject({
      mg_h: 15,
      total_mL: 65,
      fills: 2,
      drug_mL_each: 6.5,
      level: 'overflows',
      after_h: 14,
      drift_mL_h: 1,
    })
    expect(result.leaves_cup_range_mg_h).toEqual({ low: 15, high: expect.closeTo(16.6, 9) })
  })
  it('says when the level stays', () => {
    const { result } = run('continuous', {
      mg_h: 10,
      cup_output_mL_h: 16,
      pump_mL_h: 16,
      cup_start_mL: 4,
      cup_capacity_mL: 18,
    })
    expect(result).toEqual({ mg_h: 10, concentration_mg_mL: 0.625, level: 'level' })
  })
  it.each([
    [{ cup_output_mL_h: 25 }, /mg_per_h by itself/],
    [{ mg_h: 10, cup_output_mL_h: 25, hours: 4 }, /stock_mg_mL together with hours/],
    [{ mg_h: 10, cup_output_mL_h: 25, stock_mg_mL: 5 }, /stock_mg_mL together with hours/],
    [{ mg_h: 10, cup_output_mL_h: 25, pump_mL_h: 20 }, /cup_start_mL and cup_capacity_mL/],
    [{ mg_h: 10, cup_output_mL_h: 25, pump_mL_h: 20, cup_start_mL: 1 }, /cup_start_mL and cup_capacity_mL/],
  ])('refuses %o', (input, message) => {
    expect(() => run('continuous', input)).toThrow(BadInput)
    expect(() => run('continuous', input)).toThrow(message)
  })
})

describe('order-review and daily-total', () => {
  it('reviews an order that is given as JSON', () => {
    const { result, working } = run('order-review', {
      order: {
        medicines: [
          {
            medicineId: 'albuterol',
            text: 'albuterol',
            amountMin: 25,
            amountMax: null,
            unit: 'mg',
            part: 'medicine',
          },
        ],
        route: 'INH',
        frequency: { once: true },
        prn: null,
        indication: 'wheeze',
        prescriber: { id: '7', name: 'A. Prescriber' },
      },
      patient: { ageDays: 20_000, weightKg: 70, conditions: [], allergies: [], taking: [] },
    })
    expect(result.findings.map(({ code }: { code: string }) => code)).toEqual([
      'dose-above:albuterol',
      'over-24-hours:albuterol',
    ])
    expect(working.cautions[0]).toContain('An example until')
  })
  it('adds up a day', () => {
    const { result, working } = run('daily-total', {
      proposed: {
        medicineId: 'albuterol',
        amount: { value: 2.5, unit: 'mg' },
        at: '2026-01-01T12:00:00Z',
        acute: false,
        ageDays: 20_000,
        weightKg: 70,
      },
      history: [
        {
          medicineId: 'albuterol',
          amount: { value: 2.5, unit: 'mg' },
          at: '2026-01-01T09:00:00Z',
          route: 'nebulized',
        },
      ],
    })
    expect(result).toMatchObject({
      gap: { tooEarly: true, earliest: '2026-01-01T13:00:00.000Z' },
      totals: [{ medicineId: 'albuterol', total: 5, unit: 'mg', most: 10, over: false }],
    })
    expect(working.steps).toEqual([
      '180 min to the nearest dose, 240 min at least: too early',
      '2.5 + 2.5 = 5 mg in 24 h',
      'published most: 10 mg in 24 h',
    ])
  })

  it('daily-total refuses a dose before of a medicine that it does not know, as it might be the same by another name', () => {
    const dose = { medicineId: 'albuterol', amount: { value: 2.5, unit: 'mg' }, at: '2026-01-01T09:00:00Z' }
    const proposed = { ...dose, at: '2026-01-01T12:00:00Z', acute: false, ageDays: 20_000, weightKg: 70 }
    const history = [dose, { ...dose, medicineId: 'albuterl' }].map((each) => ({
      ...each,
      route: 'nebulized',
    }))
    expect(() => run('daily-total', { proposed, history })).toThrow(
      'history[1].medicineId is albuterl; allowed: an id of the formulary',
    )
  })
})
