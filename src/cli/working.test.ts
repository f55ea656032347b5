import { describe, expect, it } from 'vitest'
import type { Working } from '../clinical/calculation.ts'
import { STANDINGS } from '../clinical/worked.ts'
import { answer } from './answer.ts'
import { CALCULATIONS } from './calculations.ts'
import questions from './test-data/questions.json' with { type: 'json' }

type Told = { readonly result: unknown; readonly working: Working }

function ask(name: string, input: unknown): Told {
  const calculation = CALCULATIONS.find((each) => each.name === name)
  if (!calculation) throw new Error(`no calculation is called ${name}`)
  const told = answer(calculation, input, true)
  if ('error' in told) throw new Error(`${name} refused: ${JSON.stringify(told.error)}`)
  return told as Told
}

/**
 * Numbers in a result that are no figure worked out: what was given, told back; the points a curve is drawn through;
 * cups to run again; the rank and version of a rule.
 */
const NO_FIGURE = [
  /^setup\b/,
  /\bcurves\b/,
  /^rim\b/,
  /\bsetup\b/,
  /(priority|document_version|confirmAfterMinutes|unitOfMeasure)$/,
  /\btotals\[\d+\]\.orders$/,
  /\blooks\[\d+\]\.judged\.of$/,
]

function figuresIn(value: unknown, path = ''): [path: string, figure: number][] {
  if (typeof value === 'number') return NO_FIGURE.some((no) => no.test(path)) ? [] : [[path, value]]
  if (value === null || typeof value !== 'object') return []
  const under = (key: string) => (Array.isArray(value) ? `${path}[${key}]` : path ? `${path}.${key}` : key)
  return Object.entries(value).flatMap(([key, each]) => figuresIn(each, under(key)))
}

function numbersIn(steps: readonly string[]): number[] {
  const found = steps.flatMap((step) => step.match(/(?<![\w.])[-−]?\d+(\.\d+)?(e-?\d+)?/g) ?? [])
  return found.map((each) => Number(each.replace('−', '-')))
}

/** Whether a step shows the figure: as it is, in hundredths, or in the smaller unit, within what rounding takes off. */
function shows(numbers: readonly number[], figure: number): boolean {
  const forms = [figure, 100 * figure, 1000 * figure, figure / 60, figure / 1000]
  return forms.some((form) => numbers.some((each) => Math.abs(each - form) <= Math.abs(form) * 0.006 + 1e-9))
}

describe('every figure can be asked why', () => {
  it('each calculation that is listed has a question here', () => {
    const asked = new Set(questions.map(({ name }) => name))
    expect(CALCULATIONS.map(({ name }) => name).filter((name) => !asked.has(name))).toEqual([])
  })

  it.each(questions.map(({ name, input }) => [name, input] as const))(
    '%s %j shows the sum with its numbers, and where it is from',
    (name, input) => {
      const { result, working } = ask(name, input)
      const numbers = numbersIn(working.steps)
      expect(figuresIn(result).filter(([, figure]) => !shows(numbers, figure))).toEqual([])
      expect(working.steps.length).toBeGreaterThan(0)
      expect(working.sources.length).toBeGreaterThan(0)
      for (const { cite, standing } of working.sources) {
        expect(cite.length).toBeGreaterThan(0)
        expect(STANDINGS).toContain(standing)
      }
    },
  )

  it('what answers by quantity has for every quantity a step of its own before the figure', () => {
    const byQuantity = CALCULATIONS.flatMap(({ name }) => {
      const told = questions.filter((each) => each.name === name).map(({ input }) => ask(name, input))
      const lists = told.flatMap(({ result, working }) => {
        const quantities = quantitiesIn(result)
        return quantities.length > 0 ? [{ quantities, working }] : []
      })
      return lists.length > 0 && name !== 'forecast' && name !== 'hypercapnic-risk' ? [{ name, lists }] : []
    })
    expect(byQuantity.map(({ name }) => name)).toHaveLength(10)
    for (const { name, lists } of byQuantity) {
      const shown = new Set<string>()
      for (const { quantities, working } of lists)
        for (const quantity of quantities) {
          const own = working.steps.filter((step) => step.startsWith(`${quantity}: `))
          expect(own.slice(0, -1).filter((step) => /\d/.test(step)).length, quantity).toBeGreaterThan(0)
          shown.add(quantity)
        }
      expect(unasked(name, shown)).toEqual([])
    }
  })

  it('would miss a figure that no step shows', () => {
    expect(shows(numbersIn(['504 L ÷ 6 L/min']), 84)).toBe(false)
    expect(shows(numbersIn(['504 L ÷ 6 L/min = 84 min']), 84.00000000000001)).toBe(true)
    expect(figuresIn({ a: [1, { b: 2 }], priority: 3 })).toEqual([
      ['a[0]', 1],
      ['a[1].b', 2],
    ])
  })
})

/** The quantities of a list, of one answer, or of those that stand beside another answer. */
function quantitiesIn(result: unknown): string[] {
  if (Array.isArray(result)) return result.flatMap(quantitiesIn)
  const { quantity, quantities } = result as { quantity?: string; quantities?: unknown }
  return [...(quantity === undefined ? [] : [quantity]), ...(quantities ? quantitiesIn(quantities) : [])]
}

/** Quantities that the calculation can give and no question here asks for. */
function unasked(name: string, shown: ReadonlySet<string>): string[] {
  const calculation = CALCULATIONS.find((each) => each.name === name)
  const refused = calculation && answer(calculation, { quantity: 'nothing of the kind' }, false)
  const allowed = (refused as { error: { allowed: string } }).error.allowed.split('; ')
  return allowed.filter((quantity) => !shown.has(quantity))
}
