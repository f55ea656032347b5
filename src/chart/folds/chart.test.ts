import { describe, expect, it } from 'vitest'
import { demoChart } from '../../../test/support/demo-chart.ts'
import { Chart } from './chart.ts'
import { settleItems } from './settle.ts'

const NOW = '2026-03-10T15:40:00.000Z'

/** What screens ask of a chart, of everything in it. */
function all(chart: Chart) {
  return {
    size: chart.size,
    patients: chart.patients(),
    orders: chart.orders(),
    visits: chart.visits(),
    ordersOf: chart.patients().map(({ patientId }) => chart.ordersOf(patientId)),
    visitsOf: chart.orders().map(({ orderId }) => chart.visitsOf(orderId)),
    staff: chart.staff(),
    handovers: chart.handovers(),
    plans: chart.plannedShifts(),
    outgoings: chart.outgoings(),
    items: settleItems(chart, NOW),
    clocks: chart.clockOff(60_000).map(({ id }) => id),
  }
}

describe('letting go of patients', () => {
  it('leaves what would be there if nothing had ever been said of them, whatever was asked before', async () => {
    const whole = await demoChart()
    const ids = whole.patients().map(({ patientId }) => patientId)
    const gone = new Set(ids.filter((_, at) => at % 3 === 0))
    const facts = [...whole.facts()]
    const ahead = new Map(facts.map(({ id }, at) => [id, at % 5 === 0 ? 3_600_000 : 0]))
    const chart = new Chart().add(facts, ahead)
    all(chart)
    const revision = chart.revision
    const went = chart.forget(gone)
    const without = facts.filter(({ about }) => !gone.has(about.patientId ?? ''))
    expect(went.length).toBeGreaterThan(0)
    expect(went.length).toBe(facts.length - without.length)
    expect(chart.revision).toBeGreaterThan(revision)
    expect(all(chart)).toEqual(all(new Chart().add(without, ahead)))
  })

  it('is undone by adding them again', async () => {
    const whole = await demoChart()
    const [first] = whole.patients()
    const before = all(whole)
    whole.add(whole.forget([first?.patientId ?? '']))
    expect(all(whole)).toEqual(before)
  })
})
