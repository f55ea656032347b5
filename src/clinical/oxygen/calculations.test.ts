import { describe, expect, it } from 'vitest'
import { OXYGEN_CALCULATIONS } from './calculations.ts'
import table from './data/checks.table.json' with { type: 'json' }

type Expected = {
  readonly value?: number
  readonly values?: readonly number[]
  readonly min?: number
  readonly max?: number
  readonly tol_abs?: number
}

function ask(name: string, fields: object): unknown {
  const calculation = OXYGEN_CALCULATIONS.find((each) => each.name === name)
  if (!calculation) throw new Error(`no calculation is named ${name}`)
  return calculation.run(calculation.input.parse(fields)).result
}

function meets(
  answer: readonly number[],
  { value, values, min, max, tol_abs = Number.NaN }: Expected,
): boolean {
  if (min !== undefined && max !== undefined) return answer.every((each) => each >= min && each <= max)
  const told = values ?? [value ?? Number.NaN]
  return (
    told.length === answer.length &&
    told.every((each, i) => Math.abs((answer[i] ?? Number.NaN) - each) <= tol_abs + 1e-12)
  )
}

describe('check values', () => {
  it('are all met, each through the calculation that a terminal would ask', () => {
    const misses = table.rows.flatMap(({ calculation, quantity, inputs, expected }) => {
      const { value } = ask(calculation, { ...inputs, quantity }) as { value: number | number[] }
      return meets([value].flat(), expected) ? [] : [{ quantity, inputs, expected, value }]
    })
    expect(misses).toEqual([])
    expect(table.rows).toHaveLength(18)
  })
})

describe('asking', () => {
  it('without a quantity gives what the fields suffice for, or the whole advice', () => {
    expect(ask('heliox-flow', { mix: '70/30', reading_Lmin: 6, wanted_Lmin: 10 })).toHaveLength(3)
    expect(ask('cylinder', { water_L: 10, bar: 150, flow_Lmin: 8, run_min: 10 })).toHaveLength(2)
    expect(ask('altitude', { height_m: 1609, FiO2: 0.21 })).toHaveLength(2)
    expect(ask('hypercapnic-risk', { at_risk: true, air_source: false })).toMatchObject({ atMostMin: 6 })
    const during = ask('inspired-oxygen', { gas: 'oxygen', Q_neb_Lmin: 8, reservoir_mL: 50 }) as {
      value: unknown
    }[]
    expect(during.map(({ value }) => [value].flat().length)).toEqual([1, 2])
  })
  it.each<[string, object, RegExp]>([
    ['cylinder', { size: 'E', flow_Lmin: 8 }, /psi is missing; allowed: beside the size/],
    ['cylinder', { water_L: 2, flow_Lmin: 8 }, /bar is missing; allowed: beside water_L/],
    [
      'cylinder',
      { size: 'E', psi: 2000, reserve_bar: 30, flow_Lmin: 8 },
      /reserve_bar is 30; allowed: not beside size/,
    ],
    ['cylinder', { water_L: 2, bar: 150, psi: 2000, flow_Lmin: 8 }, /water_L is 2; allowed: not beside psi/],
    ['cylinder', { flow_Lmin: 8 }, /size is missing; allowed: size and psi, or water_L and bar/],
    ['cylinder', { size: 'E', psi: 2000, flow_Lmin: 8, litres: 2 }, /litres/],
    ['inspired-oxygen', { FiO2: 0.21 }, /share is 0.21; allowed: 0.24 to 1/],
    ['inspired-oxygen', { Q_Lmin: 9 }, /flowLPerMin is 9; allowed: 1 to 6/],
    ['hypercapnic-risk', { quantity: 'weather' }, /quantity is weather/],
    ['altitude', {}, /fields is none/],
  ])('%s refuses %j', (name, fields, message) => {
    expect(() => ask(name, fields)).toThrow(message)
  })
})
