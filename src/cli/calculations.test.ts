import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import checks from '../clinical/aerosol/data/checks.table.json' with { type: 'json' }
import type { Calculation } from '../clinical/calculation.ts'
import { answer } from './answer.ts'
import { CALCULATIONS } from './calculations.ts'

function ask(name: string, fields: object): { readonly result?: unknown; readonly error?: unknown } {
  const calculation = CALCULATIONS.find((each) => each.name === name)
  if (!calculation) throw new Error(`no calculation is called ${name}`)
  return answer(calculation, fields, false)
}

describe('the calculations of the terminal', () => {
  it('have each a name of its own', () => {
    const names = CALCULATIONS.map(({ name }) => name)
    expect(names).toEqual([...new Set(names)])
  })

  it('continuous nebulizing answers by quantity, and says what to mix, under the one name', () => {
    const rows = checks.rows.filter(({ calculation }) => calculation === 'continuous')
    expect(rows).toHaveLength(5)
    for (const { quantity, inputs, expected } of rows) {
      const { result } = ask('continuous', { ...inputs, quantity }) as {
        result: { value: number | number[] }
      }
      const told = 'values' in expected ? expected.values : [expected.value]
      expect([result.value].flat()).toEqual(told?.map((value) => expect.closeTo(value ?? Number.NaN, 2)))
    }
    expect(
      ask('continuous', { mg_h: 10, stock_mg_mL: 5, cup_output_mL_h: 25, hours: 4 }).result,
    ).toMatchObject({
      drug_mL: 8,
      diluent_mL: 92,
      total_mL: 100,
      quantities: [
        { quantity: 'continuous mix', value: [8, 92, 100] },
        { quantity: 'concentration to load', value: 0.4 },
      ],
    })
    // beyond what is known of cups, but a mixture that can be worked out
    expect(ask('continuous', { mg_h: 10, cup_output_mL_h: 300 }).result).not.toHaveProperty('quantities')
  })

  it('names the fields that are wrong by the shape that comes nearest', () => {
    expect(ask('continuous', { mg_h: 10, cup_output_mL_h: 'much' })).toMatchObject({
      error: { fields: [{ field: 'cup_output_mL_h' }] },
    })
    expect(ask('continuous', { conc_mg_mL: 0.4, cup: 1 })).toMatchObject({
      error: { fields: [{ field: 'cup', given: 1, what: expect.stringMatching(/^not a field/) }] },
    })
  })

  it.each<[string, object, { field: string; given: string; allowed: RegExp }]>([
    ['pram', { age_years: 34 }, { field: 'age_years', given: '34', allowed: /^2 to 17 a/ }],
    ['news2', { spo2: 104 }, { field: 'spo2', given: '104', allowed: /^1 to 100 %$/ }],
    ['forecast', { Q_Lmin: 0 }, { field: 'Q_Lmin', given: '0', allowed: /^4 to 12 L\/min$/ }],
    ['forecast', { fill_mL: 11 }, { field: 'fill_mL', given: '11', allowed: /^1 to 10 mL$/ }],
    ['cup', { fill_mL: 4, Q_Lmin: 8, RH_in: 2 }, { field: 'RH_in', given: '2', allowed: /^0 to 0.9$/ }],
    [
      'psychrometrics',
      { T_degC: 20, T_gas_degC: 90, RH: 0.5 },
      { field: 'T_gas_degC', given: '90', allowed: /^0 to 50 Cel$/ },
    ],
    [
      'calibrate',
      { runs: [{ fill_mL: 3, Q_Lmin: 40, minutes: 7 }] },
      { field: 'runs[0].Q_Lmin', given: '40', allowed: /^4 to 12 L\/min$/ },
    ],
    [
      'dose',
      { kind: 'mg-to-volume', strength: '0 %', dose_mg: 2 },
      { field: 'strength', given: '0', allowed: /above zero/ },
    ],
    [
      'dose',
      { kind: 'dilution', c1_percent: 4, v1_mL: 2, c2_percent: 5 },
      { field: 'c2_percent', given: '5', allowed: /^at most 4/ },
    ],
    [
      'bronchodilator-response',
      { parameter: 'FEV1', pre_L: 40, post_L: 2 },
      { field: 'pre_L', given: '40', allowed: /^0.001 to 12 L$/ },
    ],
    [
      'continuous',
      { mg_h: 10, cup_output_mL_h: 25, hours: 4 },
      { field: 'stock_mg_mL', given: 'missing', allowed: /together with hours/ },
    ],
  ])('%s refuses %j by the name, value and range of what was given', (name, fields, refusal) => {
    const { field, given, allowed } = refusal
    expect(ask(name, fields).error).toMatchObject({
      field,
      given,
      allowed: expect.stringMatching(allowed),
      message: expect.stringMatching(new RegExp(`^${field.replace(/[[\]]/g, '.')} is ${given}; allowed: `)),
    })
  })

  it('tells an infinity and a comma as they came in', () => {
    expect(ask('news2', { spo2: Number.POSITIVE_INFINITY })).toMatchObject({
      error: { kind: 'input', fields: [{ field: 'spo2', given: 'Infinity' }] },
    })
    expect(ask('news2', { spo2: '0,5' })).toMatchObject({
      error: {
        kind: 'input',
        fields: [
          { field: 'spo2', given: '0,5', what: 'a finite number is needed, not text', allowed: '1 to 100 %' },
        ],
      },
    })
  })

  it('every figure of a forecast can be asked for by a name beside it', () => {
    const { result } = ask('forecast', { dose_mg: 2.5, fill_mL: 3 }) as {
      result: { quantities: { quantity: string; value: number; unit: string }[] }
    }
    expect(result.quantities.map(({ quantity }) => quantity)).toEqual(
      expect.arrayContaining(['minutesToEnd', 'drug in 1-5 um at the mouthpiece', 'lung share of the dose']),
    )
    for (const { quantity, value, unit } of result.quantities) {
      expect(ask('forecast', { dose_mg: 2.5, fill_mL: 3, quantity }).result).toEqual({
        quantity,
        unit,
        value,
      })
    }
  })
})

/** Numbers at and beyond every edge, and ordinary ones. */
const number = fc.oneof(
  fc.constantFrom(0, -0, 1, -1, 1e-300, 1e308, -1e308, Number.MAX_SAFE_INTEGER, 0.01, 130),
  fc.double({ min: 0, max: 20, noNaN: true }),
  fc.double({ min: -5, max: 1000, noNaN: true }),
)

type Schema = {
  readonly type?: string
  readonly enum?: readonly unknown[]
  readonly const?: unknown
  readonly anyOf?: readonly Schema[]
  readonly oneOf?: readonly Schema[]
  readonly items?: Schema
  readonly properties?: Readonly<Record<string, Schema>>
  readonly required?: readonly string[]
}

/** Words that a field of words may hold, one of them strange; any other field holds a strange one. */
const WORDS: Readonly<Record<string, readonly string[]>> = {
  pattern: ['adult standard', 'child', 'infant', 'giraffe'],
  mask: ['standard', 'shaped', 'paper'],
  interface: ['mouthpiece', 'mask', 'mask held off', 'in-line', 'straw'],
  gas: ['air', 'oxygen', 'heliox 80/20', 'steam'],
  cup: ['jet', 'mesh', 'large-volume', 'kettle'],
  size: ['D', 'E', 'H', 'Z'],
  mix: ['80/20', '70/30', '60/40', '50/50'],
  quantity: ['', 'run time', 'lungMg'],
}

/** Inputs of the right shape with any values, out of the schema that the terminal shows. */
function inputsOf(schema: Schema, field = ''): fc.Arbitrary<unknown> {
  if ('const' in schema) return fc.constant(schema.const)
  if (schema.enum) return fc.constantFrom(...schema.enum)
  const shapes = schema.anyOf ?? schema.oneOf
  if (shapes) return fc.oneof(...shapes.map((each) => inputsOf(each, field)))
  switch (schema.type) {
    case 'number':
    case 'integer':
      return number
    case 'boolean':
      return fc.boolean()
    case 'array':
      return fc.array(inputsOf(schema.items ?? {}), { maxLength: 4 })
    case 'object': {
      const properties = schema.properties ?? {}
      const keys = Object.keys(properties)
      const optional = keys.filter((key) => !schema.required?.includes(key))
      return fc.subarray(optional, { maxLength: Math.min(6, optional.length) }).chain((chosen) => {
        const of = keys.filter((key) => schema.required?.includes(key) || chosen.includes(key))
        return fc.record(Object.fromEntries(of.map((key) => [key, inputsOf(properties[key] ?? {}, key)])))
      })
    }
    default:
      return fc.constantFrom(...(WORDS[field] ?? ['strange']))
  }
}

function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value]
  if (value === null || typeof value !== 'object') return []
  return Object.values(value).flatMap(numbersIn)
}

/** A refusal of what the input lacks as a whole names no field of its own. */
const WHOLE = ['fields', 'count', 'proposal', 'findings']

/** The words of a refused field that no field of the input is called by. */
function foreignWords(field: string, shape: Schema): string[] {
  const known = JSON.stringify(shape)
  return field
    .split(/[^A-Za-z_0-9]+/)
    .filter((word) => !/^\d*$/.test(word) && !WHOLE.includes(word) && !known.includes(`"${word}":`))
}

const ASKED_OFTEN = [
  'dose',
  'peak-flow',
  'zones',
  'bronchodilator-response',
  'news2',
  'pram',
  'asthma-severity',
  'vital-ranges',
  'psychrometrics',
  'cup',
  'inhaled-share',
  'droplets',
  'deposition',
  'continuous',
  'forecast',
  'calibrate',
  'inspired-oxygen',
  'cylinder',
  'heliox-flow',
  'altitude',
  'hypercapnic-risk',
]

/** Most inputs mix the fields of two kinds of cylinder, and are refused for that: the others are rare. */
const RUNS: Readonly<Record<string, number>> = { cylinder: 20_000 }

describe('any input of the right shape', () => {
  it.each(ASKED_OFTEN)(
    '%s answers it with finite numbers or refuses it by field, and never falls over',
    (name) => {
      const calculation = CALCULATIONS.find((each) => each.name === name) as Calculation
      const shape = z.toJSONSchema(calculation.input, { io: 'input', unrepresentable: 'any' }) as Schema
      let answered = 0
      fc.assert(
        fc.property(inputsOf(shape), (input) => {
          const given = answer(calculation, input, false) as { result?: unknown; error?: object }
          if (given.error) {
            if ('field' in given.error) expect(foreignWords(`${given.error.field}`, shape)).toEqual([])
            expect(Object.keys(given.error)).toEqual(
              expect.arrayContaining('fields' in given.error ? ['kind', 'fields'] : ['field', 'allowed']),
            )
            return
          }
          answered += 1
          expect(numbersIn(given.result).filter((each) => !Number.isFinite(each))).toEqual([])
        }),
        { numRuns: RUNS[name] ?? 2000, seed: 20_261_125 },
      )
      expect(answered).toBeGreaterThan(0)
    },
  )
})
