import { describe, expect, it } from 'vitest'
import { OutsideValidity } from '../worked.ts'
import { LUNG_FUNCTION_CALCULATIONS } from './calculations.ts'
import edge from './test-data/female-band-edge.json' with { type: 'json' }
import peakFlow from './test-data/peak-flow.json' with { type: 'json' }
import printed from './test-data/printed-lower-limits.json' with { type: 'json' }
import refusals from './test-data/range-refusals.json' with { type: 'json' }
import reference from './test-data/reference-values.json' with { type: 'json' }
import rules from './test-data/rules.json' with { type: 'json' }

type Fields = Readonly<Record<string, unknown>>

/** Runs a calculation as a caller would: its own schema first, then the sum. */
function run(name: string, given: Fields): Record<string, unknown> {
  const calculation = LUNG_FUNCTION_CALCULATIONS.find((each) => each.name === name)
  if (!calculation) throw new Error(`no calculation is called ${name}`)
  const { result } = calculation.run(calculation.input.parse(given))
  return result as Record<string, unknown>
}

/** A row of a table as fields by column name. */
function fieldsOf(columns: readonly string[], row: readonly unknown[]): Record<string, unknown> {
  return Object.fromEntries(columns.map((column, at) => [column, row[at]]))
}

const INPUTS = ['system', 'group', 'sex', 'age_years', 'height_cm', 'parameter', 'unit', 'measured']
const inputsOf = (fields: Fields) => Object.fromEntries(INPUTS.map((name) => [name, fields[name]]))

type Table = { readonly columns: readonly string[]; readonly rows: readonly (readonly unknown[])[] }
type Tolerance = (typeof reference)['tolerance']

/** The rows that a system does not meet, each with what it gave. */
function misses({ columns, rows }: Table, tolerance: Tolerance): unknown[] {
  return rows.flatMap((row) => {
    const expected = fieldsOf(columns, row)
    const given = run('lung-function', inputsOf(expected))
    const far = (name: string) => Math.abs(Number(given[name]) - Number(expected[name]))
    const relative = (name: string) => far(name) / Math.abs(Number(expected[name]))
    const met =
      relative('predicted') <= tolerance.predicted_rel &&
      relative('lln') <= tolerance.lln_rel &&
      far('z') <= tolerance.z_abs &&
      far('percent_predicted') <= tolerance.percent_predicted_abs
    return met ? [] : [{ expected, given }]
  })
}

describe(`reference values against ${reference.source}`, () => {
  it('meets all 72 rows', () => {
    expect(reference.rows).toHaveLength(72)
    expect(misses(reference, reference.tolerance)).toEqual([])
  })
  it('meets them far closer than asked: the differences are the rounding of the printed figures', () => {
    const tight = { predicted_rel: 1e-6, lln_rel: 1e-6, z_abs: 1e-5, percent_predicted_abs: 1e-3 }
    expect(misses(reference, tight)).toEqual([])
  })
  it('covers every sex and group of all three systems', () => {
    const kinds = new Set(reference.rows.map((row) => row.slice(1, 4).join(' ')))
    expect([...kinds].sort()).toHaveLength(18)
  })
  it('keeps which yardstick it was with every result', () => {
    for (const row of reference.rows) {
      const expected = fieldsOf(reference.columns, row)
      const given = run('lung-function', inputsOf(expected))
      const { system, group, parameter, unit } = expected
      expect(given).toMatchObject({ system, group, parameter, unit, extrapolated: false })
      expect(given.version).toBe(String(system).slice(-4))
    }
  })
})

describe(`lower limits as printed in ${printed.source}`, () => {
  it('meets all 10 rows', () => {
    expect(printed.rows).toHaveLength(10)
    const far = printed.rows.filter((row) => {
      const fields = fieldsOf(printed.columns, row)
      const { lln } = run('lung-function', inputsOf(fields))
      return !(Math.abs(Number(lln) - Number(fields.lln)) <= printed.toleranceAbs)
    })
    expect(far).toEqual([])
  })
  it('marks the row beyond the fitted ages, and only that one', () => {
    const extrapolated = printed.rows.filter((row) => {
      const fields = fieldsOf(printed.columns, row)
      return run('lung-function', inputsOf(fields)).extrapolated
    })
    expect(extrapolated.map(([id]) => id)).toEqual(['CFR-09'])
  })
})

describe(`women of 18 and 19: ${edge.source}`, () => {
  it('meets all 3 rows', () => {
    expect(edge.rows).toHaveLength(3)
    expect(misses(edge, edge.tolerance)).toEqual([])
  })
})

describe(`peak flow: ${peakFlow.source}`, () => {
  it('meets all 14 rows', () => {
    expect(peakFlow.rows).toHaveLength(14)
    const far = peakFlow.rows.filter(({ input, expected }) => {
      const given = run('peak-flow', input)
      return Object.entries(expected).some(
        ([name, value]) => !(Math.abs(Number(given[name]) - value) <= peakFlow.toleranceAbs),
      )
    })
    expect(far).toEqual([])
  })
})

describe(`rules: ${rules.source}`, () => {
  it('has all 28 rows', () => {
    expect(rules.rows).toHaveLength(28)
  })
  it.each(rules.rows.map((row) => [row.id, row] as const))('%s', (_id, { calculation, input, expected }) => {
    const given = run(calculation, input)
    for (const [name, value] of Object.entries(expected)) {
      if (typeof value === 'number') {
        const far = Math.abs(Number(given[name]) - value)
        expect(far, name).toBeLessThanOrEqual(Math.abs(value) * rules.toleranceRel)
      } else expect(given[name], name).toBe(value)
    }
  })
})

describe(`refusals: ${refusals.source}`, () => {
  it('has all 6 rows', () => {
    expect(refusals.rows).toHaveLength(6)
  })
  it.each(refusals.rows.map((row) => [row.id, row] as const))(
    '%s names the field that is out of range',
    (_id, { calculation, input }) => {
      const field = 'height_cm' in input ? 'height_cm' : 'age_years'
      let caught: unknown = null
      try {
        run(calculation, input)
      } catch (error) {
        caught = error
      }
      expect(caught).toBeInstanceOf(OutsideValidity)
      expect(caught).toMatchObject({ field })
    },
  )
})

describe('what a calculation is asked', () => {
  it('refuses a field that it does not know, instead of ignoring it', () => {
    for (const { input } of LUNG_FUNCTION_CALCULATIONS) {
      expect(input.safeParse({ heigth_cm: 170 }).success).toBe(false)
    }
    const misspelt = { rule: 'z_severity', z: -1, zz: 2 }
    expect(() => run('spirometry-severity', misspelt)).toThrow()
  })
  it('has names that differ, each with a purpose', () => {
    const names = LUNG_FUNCTION_CALCULATIONS.map(({ name }) => name)
    expect(names).toEqual([
      'lung-function',
      'spirometry-severity',
      'bronchodilator-response',
      'spirometry-repeatability',
      'peak-flow',
      'peak-flow-repeatability',
      'zones',
    ])
    for (const { purpose } of LUNG_FUNCTION_CALCULATIONS) expect(purpose.length).toBeGreaterThan(30)
  })
})
