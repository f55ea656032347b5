import { describe, expect, it } from 'vitest'
import { readTable, readText } from '../../test/planning/read.ts'
import { PlanState } from './engine/plan-state.ts'
import { compileSolomon, parseSolomon, SolomonFormatError, type SolomonProblem } from './solomon.ts'
import { planSolomon, solomonLength } from './solomon-plan.ts'

const table = readTable('solomon/best-known.csv')
const problemOf = (name: string) => parseSolomon(readText(`solomon/${name}.txt`))

const routesOf = (name: string): number[][] =>
  readText(`solomon/${name}.sol`)
    .split('\n')
    .filter((line) => line.startsWith('Route'))
    .map((line) => (line.split(':')[1] as string).trim().split(/\s+/).map(Number))

const firstCustomers = (problem: SolomonProblem, count: number): SolomonProblem => ({
  ...problem,
  rows: problem.rows.slice(0, count + 1),
})

describe('Solomon’s files', () => {
  it.each(table)('prices the published routes as the published table: $instance', (row) => {
    const name = row.instance as string
    const problem = problemOf(name)
    const routes = routesOf(name)
    expect(routes).toHaveLength(Number(row.dimacs_routes))
    expect(solomonLength(problem, 'dimacs', routes)).toBeCloseTo(Number(row.dimacs_distance), 6)
    expect(solomonLength(problem, 'sintef', routes)).toBeCloseTo(
      Number(row.same_routes_distance_double || solomonLength(problem, 'sintef', routes)),
      2,
    )
    const state = new PlanState(compileSolomon(problem, 'dimacs'))
    expect(state.setRoutes(routes.map((route) => route.map((id) => id - 1)))).toBe(true)
    expect(state.cost()).toBe(Math.round(10 * Number(row.dimacs_distance)))
  })

  it.each(table.filter((row) => row.same_routes_feasible_double !== ''))(
    'tells whether the truncated routes keep their windows in double precision: $instance',
    (row) => {
      const name = row.instance as string
      const state = new PlanState(compileSolomon(problemOf(name), 'sintef'))
      const kept = state.setRoutes(routesOf(name).map((route) => route.map((id) => id - 1)))
      expect(kept).toBe(row.same_routes_feasible_double === 'yes')
    },
  )

  it.each(readTable('solomon/subsets-25-50.csv').filter((row) => row.customers === '25'))(
    'reaches the published optimum of the first 25 customers: $instance',
    (row) => {
      const problem = firstCustomers(problemOf(row.instance as string), 25)
      const plans = [1, 2, 3].map((seed) =>
        planSolomon(problem, 'dimacs', { seed, effort: { iterations: 2500 } }),
      )
      const best = Math.min(...plans.map((plan) => plan.distance))
      expect(best).toBeCloseTo(Number(row.optimal_distance_one_decimal_truncated), 6)
    },
  )

  it('uses the fewest vehicles first where the convention says so', () => {
    // C1 and C2 files: the published fewest-vehicles plans have as many vehicles as the shortest ones.
    const plan = planSolomon(problemOf('R201'), 'sintef', { seed: 1, effort: { iterations: 16_000 } })
    const shortest = planSolomon(problemOf('R201'), 'dimacs', { seed: 1, effort: { iterations: 4000 } })
    expect(plan.unserved).toEqual([])
    expect(plan.vehicles).toBeLessThan(shortest.vehicles)
    expect(plan.vehicles).toBeLessThanOrEqual(5) // best known: 4 vehicles, 1252.37
    expect(plan.distance).toBeGreaterThanOrEqual(1143.2)
  })

  it.each([
    ['', 'no line with vehicle number and capacity'],
    ['A\n25 200\n', 'no depot row'],
    ['A\n25 200\n0 35 35 0 0 230\n', 'expected 7 numbers'],
    ['A\n25 200\n0 35 35 0 0 230 0\n2 1 1 1 0 10 1\n', 'expected customer 1, found 2'],
    ['A\n25 200\n0 35 35 0 230 0 0\n', 'due date before ready time'],
    [
      'A\n25 200\n0 35 35 0 0 230 0\n1 4x 1 1 0 10 1\n',
      'line 4: expected 7 numbers, found "1 4x 1 1 0 10 1"',
    ],
    ['A\n25 200\nCUST NO.\n0x 35 35 0 0 230 0\n0 1 1 0 0 10 0\n', 'line 4: expected 7 numbers'],
  ])('says what is wrong with a text that is not in the format (%#)', (text, message) => {
    expect(() => parseSolomon(text)).toThrow(SolomonFormatError)
    expect(() => parseSolomon(text)).toThrow(message)
  })
})
