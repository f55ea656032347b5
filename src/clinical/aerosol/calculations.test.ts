import { describe, expect, it } from 'vitest'
import type { Working } from '../calculation.ts'
import { each } from './answers.ts'
import { AEROSOL_CALCULATIONS } from './calculations.ts'
import table from './data/checks.table.json' with { type: 'json' }

type Expected = {
  readonly value?: number
  readonly values?: readonly number[]
  readonly min?: number
  readonly max?: number
  readonly tol_abs?: number
  readonly tol_rel?: number
}

function ask(name: string, fields: object): { readonly result: unknown; readonly working: Working } {
  const calculation = AEROSOL_CALCULATIONS.find((each) => each.name === name)
  if (!calculation) throw new Error(`no calculation is named ${name}`)
  return calculation.run(calculation.input.parse(fields))
}

function valuesOf(result: unknown): readonly number[] {
  return each((result as { value: number | readonly number[] }).value)
}

/** Whether an answer lies within the tolerance that is stated beside the value. */
function meets(answer: readonly number[], expected: Expected): boolean {
  const { min, max } = expected
  if (min !== undefined && max !== undefined) return answer.every((value) => value >= min && value <= max)
  const told = expected.values ?? [expected.value ?? Number.NaN]
  if (told.length !== answer.length) return false
  return told.every((value, i) => {
    const reach = expected.tol_abs ?? (expected.tol_rel ?? Number.NaN) * Math.abs(value)
    return Math.abs((answer[i] ?? Number.NaN) - value) <= reach + 1e-12
  })
}

describe('check values', () => {
  it('are all met, each through the calculation that a terminal would ask', () => {
    const misses = table.rows.flatMap(({ calculation, quantity, inputs, expected }) => {
      const { result } = ask(calculation, { ...inputs, quantity })
      return meets(valuesOf(result), expected) ? [] : [{ quantity, inputs, expected, result }]
    })
    expect(misses).toEqual([])
    expect(table.rows).toHaveLength(86)
  })
  it('would be missed by an answer just beyond the tolerance', () => {
    expect(meets([1.0011], { value: 1, tol_rel: 0.001 })).toBe(false)
    expect(meets([1.0009], { value: 1, tol_rel: 0.001 })).toBe(true)
    expect(meets([Number.NaN], { min: 0, max: 1 })).toBe(false)
    expect(meets([1], { values: [1, 2], tol_abs: 1 })).toBe(false)
  })
})

describe('asking', () => {
  it('without a quantity gives all that the fields suffice for', () => {
    const { result } = ask('psychrometrics', { T_degC: 20 })
    expect((result as { quantity: string }[]).map(({ quantity }) => quantity)).toEqual([
      'saturation vapor pressure',
      'saturation humidity ratio',
      'absolute humidity at saturation',
    ])
    expect(
      (
        ask('inhaled-share', { VT_mL: 500, rate_per_min: 15, Q_neb_Lmin: 8, reservoir_mL: 50 })
          .result as object[]
      ).length,
    ).toBe(6)
    expect((ask('deposition', { d_ae_um: 5, route: 'nose' }).result as object[]).length).toBe(7)
    expect((ask('deposition', { d_ae_um: 5 }).result as object[]).length).toBe(14)
    expect((ask('cup', { fill_mL: 4, Q_Lmin: 8 }).result as object[]).length).toBe(5)
    expect(
      (ask('continuous', { fill_mL: 40, cup_output_mL_h: 10 }).result as { value: number }[])[0]?.value,
    ).toBe(4)
  })
  it('the sizes of droplets can be asked for as part of where they land', () => {
    const sizes = { MMAD_um: 4, GSD: 2.5 }
    const quantity = 'fine-particle fraction < 5 um, lognormal mass'
    expect(ask('deposition', { ...sizes, quantity }).result).toEqual(
      ask('droplets', { ...sizes, quantity }).result,
    )
    expect((ask('deposition', { MMD_um: 3, GSD: 2 }).result as { value: number }[])[0]?.value).toBeCloseTo(
      0.7098,
      3,
    )
  })
  it('air too dry for a dew point has all the rest', () => {
    const names = (input: object) =>
      (ask('psychrometrics', input).result as { quantity: string }[]).map(({ quantity }) => quantity)
    expect(names({ T_degC: 0, RH: 0.5 })).toContain('dew point')
    expect(names({ T_degC: 0, RH: 0 })).toContain('vapor pressure')
    expect(names({ T_degC: 0, RH: 0 })).not.toContain('dew point')
    expect(ask('psychrometrics', { T_degC: 22, RH: 0.2 }).working.cautions).toContain(
      'Below 0 Cel frost forms, not dew.',
    )
  })

  it('a forecast goes by the flow and the distance that its quantity says', () => {
    const infant = { pattern: 'infant', weight_kg: 7, stop_after_min: 5, Q_Lmin: 6 }
    const held = { ...infant, interface: 'mask held off', distance_cm: 2, mask: 'shaped' }
    const { forecast } = ask('forecast', held).result as {
      forecast: { figures: { inhaledMg: { likely: number } } }
    }
    const told = ask('forecast', {
      mask: 'shaped',
      quantity: 'infant inhaled mass, shaped mask 2 cm off the face, 6 L/min',
    }).result as { value: number }
    expect(told.value).toBeCloseTo((100 * forecast.figures.inhaledMg.likely) / 2.5, 9)
    const onFace = ask('forecast', { quantity: 'infant inhaled mass, mask on the face, 6 L/min' })
    expect((onFace.result as { value: number }).value).toBeGreaterThan(told.value)
  })

  it('every answer can be asked for by its own name and says its unit', () => {
    for (const [name, fields] of [
      [
        'psychrometrics',
        { T_degC: 20, RH: 0.6, T_gas_degC: 22, RH_in: 0, T_cup_degC: 12, Q_Lmin_at_20C_1atm: 8 },
      ],
      ['cup', { V0_mL: 4, V_mL: 1, f_vapor: 0.4, fill_mL: 4, Q_Lmin: [6, 8] }],
      ['droplets', { MMAD_um: 3, MMD_um: 3, GSD: 2, d_um: 4, Q_Lmin: 6 }],
      ['deposition', { d_um: 3, d_ae_um: 3, MMAD_um: 3, GSD: 2, AMAD_um: 5, Q_mL_s: 250 }],
    ] as const) {
      for (const { quantity, unit, value } of ask(name, fields).result as {
        quantity: string
        unit: string
        value: number | number[]
      }[]) {
        const again = ask(name, { ...fields, quantity }).result
        expect(again).toEqual({ quantity, unit, value })
        expect(each(value).every(Number.isFinite)).toBe(true)
        expect(unit.length).toBeGreaterThan(0)
      }
    }
  })
  it('a forecast gives set-up and figures, one for each fill and flow', () => {
    const { result } = ask('forecast', { fill_mL: [3, 4], Q_Lmin: [6, 8], interface: 'mask', route: 'nose' })
    expect((result as object[]).length).toBe(4)
    expect(ask('forecast', { quantity: 'gasUsedL' }).result).toMatchObject({ unit: 'L' })
  })
  it('calibration learns from plain fields', () => {
    const { result } = ask('calibrate', { runs: [{ fill_mL: 3, Q_Lmin: 8, minutes: 7, left_g: 1 }] })
    expect(result).toMatchObject({ runs: 1, oddRuns: [] })
  })
  it.each<[string, object, RegExp]>([
    [
      'psychrometrics',
      { T_degC: 20, quantity: 'wet socks' },
      /quantity is wet socks; allowed: saturation vapor pressure/,
    ],
    [
      'psychrometrics',
      { quantity: 'dew point', T_degC: 20 },
      /RH is missing; allowed: needed for: dew point/,
    ],
    ['psychrometrics', {}, /fields is none/],
    ['psychrometrics', { T_degC: 20, RHH: 1 }, /RHH/],
    ['cup', { V0_mL: 0, V_mL: 1, f_vapor: 0.4 }, /V0_mL is 0/],
    ['cup', { V0_mL: 4, V_mL: 5, f_vapor: 0.4 }, /V_mL is 5; allowed: 0.001 to 4 mL/],
    ['cup', { V0_mL: 4, V_mL: 1, f_vapor: 1.4 }, /f_vapor is 1.4/],
    ['forecast', { quantity: 'gold' }, /quantity is gold/],
    ['forecast', { interface: 'mask held off' }, /interface.distanceCm is missing; allowed: 0 to 4 cm/],
    ['forecast', { interface: 'mask', distance_cm: 2 }, /distance_cm is 2; allowed: only with/],
    ['forecast', { mask: 'shaped' }, /mask is shaped; allowed: only with/],
    [
      'forecast',
      { quantity: 'inhaled mass, 6 L/min', Q_Lmin: 8 },
      /Q_Lmin is 8; allowed: 6, as the quantity says/,
    ],
    ['forecast', { MMAD_um: 3 }, /GSD is missing; allowed: given together with MMAD_um/],
    ['forecast', { pattern: 'giraffe' }, /pattern is giraffe; allowed: adult standard/],
    ['forecast', { interface: 'in-line', quantity: 'lungMg' }, /No published share of the dose/],
    ['cup', { kind: 'mesh', fill_mL: 3, Q_Lmin: 8 }, /kind/],
    [
      'deposition',
      { d_ae_um: 5, route: 'mouth', quantity: 'ICRP 66 nose breathing, AI' },
      /route is mouth; allowed: nose/,
    ],
    [
      'deposition',
      { AMAD_um: 5, quantity: 'ICRP 66 reference worker' },
      /quantity is ICRP 66 reference worker/,
    ],
    ['calibrate', { runs: [{ fill_mL: 3, Q_Lmin: 8, minutes: 7, RH_in: 2 }] }, /runs\[0\].RH_in is 2/],
  ])('%s refuses %j', (name, fields, message) => {
    expect(() => ask(name, fields)).toThrow(message)
  })
})
