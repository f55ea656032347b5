import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import checks from '../clinical/aerosol/data/checks.table.json' with { type: 'json' }
import type { Calculation } from '../clinical/calculation.ts'
import { CALCULATIONS } from './calculations.ts'
import { answer } from './commands/work.ts'

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
    })
  })

  it('names the fields that are wrong by the shape that comes nearest', () => {
    expect(ask('continuous', { mg_h: 10, cup_output_mL_h: 'much' })).toMatchObject({
      error: { fields: [{ field: 'cup_output_mL_h' }] },
    })
    expect(ask('continuous', { conc_mg_mL: 0.4, cup: 1 })).toMatchObject({
      error: { fields: [{ what: 'Unrecognized key: "cup"' }] },
    })
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
  if (schema.anyOf) return fc.oneof(...schema.anyOf.map((each) => inputsOf(each, field)))
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

const PHYSICS = [
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

describe('any input of the right shape', () => {
  it.each(PHYSICS)(
    '%s answers it with finite numbers or refuses it by field, and never falls over',
    (name) => {
      const calculation = CALCULATIONS.find((each) => each.name === name) as Calculation
      const shape = z.toJSONSchema(calculation.input, { io: 'input', unrepresentable: 'any' }) as Schema
      let answered = 0
      fc.assert(
        fc.property(inputsOf(shape), (input) => {
          const given = answer(calculation, input, false) as { result?: unknown; error?: object }
          if (given.error) {
            expect(Object.keys(given.error)).toEqual(
              expect.arrayContaining('fields' in given.error ? ['kind', 'fields'] : ['field', 'allowed']),
            )
            return
          }
          answered += 1
          expect(numbersIn(given.result).filter((each) => !Number.isFinite(each))).toEqual([])
        }),
        { numRuns: 2000, seed: 20_261_125 },
      )
      expect(answered).toBeGreaterThan(0)
    },
  )
})
