import { describe, expect, it } from 'vitest'
import { DAY, smallWard, type Ward } from '../../test/support/shift-ward.ts'
import { estimate, median } from './estimate.ts'
import { learnTimes } from './learned-times.ts'

const NOW = '2026-03-10T23:00:00.000Z'

/** Visits of one order, one an hour: opened, run begun after 6 min, ended and signed as told. */
function visits(ward: Ward, many: readonly { run: number; hands: number; stopped?: boolean }[]): Ward {
  for (const [at, { run, hands, stopped }] of many.entries()) {
    const openedAt = new Date(Date.parse(DAY.from) + at * 3_600_000).toISOString()
    ward.visit({ patientId: 'p1', orderId: 'o1', visitId: `v${at}` }, openedAt, 'amsel', openedAt, {
      startedAfter: 6,
      endedAfter: 6 + run,
      signedAfter: run + hands,
      stopped: stopped ?? false,
    })
  }
  return ward
}

const learned = (ward: Ward) => {
  const { chart, documents } = ward.asking(NOW)
  return learnTimes(chart, documents, NOW)
}

describe('an estimate', () => {
  it('is the prior before anything was seen', () => {
    expect(estimate([], { value: 13, cv: 0.25, visits: 8 })).toEqual({
      value: 13,
      cv: 0.25,
      visits: 0,
      prior: 13,
    })
  })
  it('is the median drawn towards the prior, by hand: (3 × 20 + 8 × 13) ÷ 11', () => {
    const { value, cv } = estimate([18, 20, 22], { value: 13, cv: 0.25, visits: 8 })
    expect(value).toBeCloseTo((3 * 20 + 8 * 13) / 11, 9)
    // Median absolute deviation 2; 1.4826 × 2 ÷ 20, drawn likewise.
    expect(cv).toBeCloseTo((3 * ((1.4826 * 2) / 20) + 8 * 0.25) / 11, 9)
  })
  it('hardly moves for one wild value', () => {
    const prior = { value: 13, cv: 0.25, visits: 8 }
    const calm = estimate([19, 20, 20, 21, 20], prior).value
    expect(Math.abs(estimate([19, 20, 20, 21, 900], prior).value - calm)).toBeLessThan(0.5)
  })
  it('takes the middle of an even and an odd number', () => {
    expect([median([3, 1, 2]), median([4, 1, 2, 3])]).toEqual([2, 2.5])
    expect(() => median([])).toThrow(RangeError)
  })
})

describe('times learned from charted visits', () => {
  it('come from the hands and the run apart', () => {
    const times = learned(
      visits(smallWard(), [
        { run: 9, hands: 17 },
        { run: 9, hands: 17 },
        { run: 9, hands: 17 },
      ]),
    )
    expect(times.counted).toBe(3)
    // 3 own visits of 17 min against a prior of 3 + 4 + 3 + 3 = 13 min that weighs as 8.
    expect(times.handsOn.STD?.value).toBeCloseTo((3 * 17 + 8 * 13) / 11, 9)
    expect(times.run.albuterol?.value).toBeCloseTo((3 * 9 + 8 * 10) / 11, 9)
    expect(times.runFactor['tee-jet']?.visits).toBe(3)
  })
  it('leave out runs that were stopped early', () => {
    const times = learned(
      visits(smallWard(), [
        { run: 9, hands: 17 },
        { run: 1, hands: 40, stopped: true },
      ]),
    )
    expect([times.counted, times.leftOut]).toEqual([1, 1])
  })
  it('make the next stays as long as this department takes', () => {
    const slow = learned(visits(smallWard(), Array(9).fill({ run: 14, hands: 25 })))
    const quick = learned(visits(smallWard(), Array(9).fill({ run: 5, hands: 8 })))
    expect(slow.handsOn.STD?.value).toBeGreaterThan((quick.handsOn.STD?.value ?? 0) + 5)
    expect(slow.runFactor['tee-jet']?.value).toBeGreaterThan((quick.runFactor['tee-jet']?.value ?? 0) + 0.3)
  })
})
