import { describe, expect, it } from 'vitest'
import { smallWard } from '../../../test/support/shift-ward.ts'
import type { PastStay } from '../../shift/index.ts'
import { recordReader } from './base-from-record.ts'

const NOW = '2026-03-10T12:03:00.000Z'
const NEXT_HOUR = '2026-03-10T13:03:00.000Z'

/** Forty visits of yesterday, each with so many minutes at hand. */
function stays(hands: number): PastStay[] {
  return Array.from({ length: 40 }, (_, at) => ({
    visitId: `told-${at}`,
    openedAt: new Date(Date.parse('2026-03-09T12:00:00.000Z') + at * 60_000).toISOString(),
    took: {
      category: 'STD',
      cupId: 'tee-jet',
      medicines: 'albuterol',
      runMs: 600_000,
      handsMs: hands * 60_000,
      forecastMinutes: 10,
    },
  }))
}

/** Planned minutes of the first patient's next stay. */
function minutesFrom(read: ReturnType<typeof recordReader>) {
  const chart = smallWard().chart()
  return (at: string, past?: readonly PastStay[]) => {
    const base = read(chart, at, past)
    if (!base.ok) throw new Error(base.what)
    const stay = base.value.problem.stays.find(({ patientId }) => patientId === 'p1')
    if (!stay) throw new Error('p1 has a stay')
    return stay.minutes.total
  }
}

describe('the problem of a shift made from the record', () => {
  it('takes up at once what it is first told of visits that are not held, and what it is told later by the full hour', () => {
    const minutes = minutesFrom(recordReader())
    const alone = minutes(NOW)
    const told = minutes(NOW, stays(40))
    expect(told).toBeGreaterThan(alone + 15)
    expect(minutes(NOW, stays(60))).toBe(told)
    expect(minutes(NEXT_HOUR, stays(60))).toBeGreaterThan(told + 10)
  })

  it('learns from what is held where nothing is told', () => {
    expect(minutesFrom(recordReader())(NOW, [])).toBe(minutesFrom(recordReader())(NOW))
  })
})
