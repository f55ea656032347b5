import { describe, expect, it } from 'vitest'
import { LUNG_FUNCTION_CALCULATIONS } from '../lung-function/calculations.ts'
import { BadInput } from '../worked.ts'
import { ASSESSMENT_CALCULATIONS } from './calculations.ts'
import table from './test-data/worked-scores.json' with { type: 'json' }

function run(name: string, given: object): Record<string, unknown> {
  const all = [...ASSESSMENT_CALCULATIONS, ...LUNG_FUNCTION_CALCULATIONS]
  const calculation = all.find((each) => each.name === name)
  if (!calculation) throw new Error(`no calculation is called ${name}`)
  return calculation.run(calculation.input.parse(given)).result as Record<string, unknown>
}

describe(table.note, () => {
  it('has all 40 rows', () => {
    expect(table.rows).toHaveLength(40)
    expect(new Set(table.rows.map(({ id }) => id)).size).toBe(40)
  })
  it.each(table.rows.map((row) => [row.id, row.source, row] as const))(
    '%s %s',
    (_id, _source, { calculation, input, expected }) => {
      if ('refused' in expected) {
        expect(() => run(calculation, input)).toThrow(BadInput)
        return
      }
      const given = run(calculation, input)
      for (const [name, value] of Object.entries(expected)) {
        if (typeof value === 'number' && name.includes('percent')) {
          expect(Math.abs(Number(given[name]) - value), name).toBeLessThanOrEqual(table.percentAbs)
        } else expect(given[name], name).toEqual(value)
      }
    },
  )
})

describe('what a calculation is asked', () => {
  it('refuses a field that it does not know, instead of ignoring it', () => {
    for (const { input } of ASSESSMENT_CALCULATIONS) {
      const issues = input.safeParse({ hartrate: 1 }).error?.issues ?? []
      expect(issues.some(({ code }) => code === 'unrecognized_keys')).toBe(true)
    }
  })
  it('has names that differ', () => {
    expect(ASSESSMENT_CALCULATIONS.map(({ name }) => name)).toEqual([
      'news2',
      'pram',
      'asthma-severity',
      'stop-rules',
      'vital-ranges',
      'dyspnea-change',
      'change-against-noise',
      'plausibility',
    ])
  })
})
