import { describe, expect, it } from 'vitest'
import { chartedVisit, chartOfRuns } from '../../../test/support/charted-visit.ts'
import { TestWriter } from '../../../test/support/facts.ts'
import { calibrate } from '../../clinical/aerosol/index.ts'
import { Chart } from './chart.ts'
import { chartedRuns } from './charted-runs.ts'

const LATER = '2026-12-31T00:00:00.000Z'
const runsOf = (chart: Chart, cupId = 'tee-jet', before = LATER) => chartedRuns(chart.visits(), cupId, before)

describe('runs as they were charted', () => {
  it('carry conditions, minutes and what was left, oldest first, for this model of cup alone', () => {
    const chart = chartOfRuns([9, 11], { leftMl: 1.1 })
    expect(runsOf(chart).runs).toMatchObject([
      { minutes: 9, ended: 'sputter', leftG: 1.1, conditions: { fillMl: 4, flowLPerMin: 8 } },
      { minutes: 11, ended: 'sputter', leftG: 1.1 },
    ])
    expect(runsOf(chart, 'mask-jet').runs).toEqual([])
  })

  it('leave pauses out, and take a stopped run as one that would have lasted longer', () => {
    const startedAt = '2026-03-10T00:00:00.000Z'
    const facts = chartedVisit({ visitId: 'v1', startedAt, minutes: 12, how: 'stopped' }, 1)
    const writer = new TestWriter('2026-03-10T00:02:00.000Z', 9)
    const about = { patientId: 'p1', orderId: 'o1', visitId: 'v1' }
    const paused = writer.write('treatment-paused', about, { reason: 'cough' })
    writer.at = '2026-03-10T00:05:00.000Z'
    const onAgain = writer.write('treatment-goes-on', about, {})
    const [run] = runsOf(new Chart().add([...facts, paused, onAgain])).runs
    expect(run).toMatchObject({ ended: 'stopped', minutes: 9, leftG: undefined })
  })

  it('know a compressor by its moist gas, and set aside what the learning does not cover, counted', () => {
    const compressor = chartOfRuns([10], { setUp: { supply: { from: 'compressor' } } })
    expect(runsOf(compressor).runs[0]?.conditions.relativeHumidity).toBe(0.5)
    for (const setUp of [{ gas: 'heliox' as const }, { flowLPerMin: 15 }]) {
      expect(runsOf(chartOfRuns([10, 10], { setUp }))).toMatchObject({ runs: [], setAside: 2 })
    }
    expect(runsOf(chartOfRuns([0.1, 10])).setAside).toBe(1)
  })

  it('stop before the instant asked for, so that a run never foretells itself', () => {
    const chart = chartOfRuns([10, 10, 10])
    expect(runsOf(chart, 'tee-jet', '2026-03-10T02:00:00.000Z').runs).toHaveLength(2)
  })

  it('have another key once a run is added, and at most the newest three hundred', () => {
    const few = chartOfRuns([10, 10])
    expect(runsOf(few).key).toBe(runsOf(chartOfRuns([10, 10])).key)
    expect(runsOf(few).key).not.toBe(runsOf(chartOfRuns([10, 10, 10])).key)
    const many = chartOfRuns(Array.from({ length: 310 }, (_, i) => (i < 10 ? 5 : 12)))
    expect(runsOf(many).runs).toHaveLength(300)
    expect(runsOf(many).runs.every(({ minutes }) => minutes === 12)).toBe(true)
  })

  it('teach a cup that ran longer here than was published, the more the narrower', () => {
    const learned = (count: number) =>
      calibrate(runsOf(chartOfRuns(Array.from({ length: count }, (_, i) => 19 + (i % 3)))).runs)
    const [three, thirty] = [learned(3), learned(30)]
    expect(thirty.dropletGPerMin.likely).toBeLessThan(calibrate([]).dropletGPerMin.likely)
    const width = ({ dropletGPerMin: { low, high } }: typeof three) => high - low
    expect(width(thirty)).toBeLessThan(width(three))
    expect(width(three)).toBeLessThan(width(calibrate([])))
  })
})
