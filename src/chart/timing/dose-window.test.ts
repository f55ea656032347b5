import { describe, expect, it } from 'vitest'
import { WINDOWS, type Windows } from '../documents/windows.ts'
import { exactWindow, nominalIntervalMinutes, scheduledGap, scheduledWindow } from './dose-window.ts'
import { readFrequencyCode } from './frequency-code.ts'
import type { DoseTerms } from './repeat.ts'

const windows = WINDOWS.defaults

function order(code: string, medicineIds: readonly string[] = []): DoseTerms {
  const medicines = medicineIds.map((medicineId) => ({
    medicineId,
    code: medicineId,
    text: medicineId,
    amountMin: 1,
    amountMax: null,
    unit: 'mg',
    part: 'medicine' as const,
  }))
  const frequency = readFrequencyCode(code)
  return { frequency, priority: 'routine', startAt: null, endAt: null, prn: null, medicines }
}
function window(code: string, medicineIds: readonly string[] = [], given: Windows = windows) {
  const { frequency } = order(code)
  if (!frequency) throw new Error(code)
  const rule = scheduledWindow(order(code, medicineIds), nominalIntervalMinutes(frequency), given)
  return [rule.class, rule.minutesBefore, rule.minutesAfter]
}

/**
 * ISMP Acute Care Guidelines for Timely Administration of Scheduled Medications (2011), as reported by rn.com and a
 * hospital newsletter of June 2012: more often than every 4 hours 30 min, more often than daily 60, else 120.
 */
describe('classes, against the ISMP guidelines of 2011', () => {
  it.each([
    ['Q1H', 'time-critical', 30],
    ['Q2H', 'time-critical', 30],
    ['Q3H', 'time-critical', 30],
    ['Q4H', 'more-often-than-daily', 60],
    ['Q6H', 'more-often-than-daily', 60],
    ['Q8H', 'more-often-than-daily', 60],
    ['Q12H', 'more-often-than-daily', 60],
    ['QID', 'more-often-than-daily', 60],
    ['6ID', 'more-often-than-daily', 60],
    ['7ID', 'time-critical', 30],
    ['TID', 'more-often-than-daily', 60],
    ['BID', 'more-often-than-daily', 60],
    ['QD', 'daily-or-longer', 120],
    ['QOD', 'daily-or-longer', 120],
    ['Q1W', 'daily-or-longer', 120],
  ])('%s is %s, %i min both ways', (code, name, minutes) => {
    expect(window(code)).toEqual([name, minutes, minutes])
  })
  it('lets no window reach beyond half the interval', () => {
    expect(window('Q20M')).toEqual(['time-critical', 10, 10])
  })
  it('gives a quarter of the interval where the department wants that reading', () => {
    const quarter = { ...windows, notBeyondShareOfInterval: { share: 0.25, source: 'half-way' } }
    expect(window('Q1H', [], quarter)).toEqual(['time-critical', 15, 15])
    expect(window('Q2H', [], quarter)).toEqual(['time-critical', 30, 30])
  })
})

describe("the department's own medicines", () => {
  const own: Windows = {
    ...windows,
    timeCriticalMedicines: [{ medicineId: 'tobramycin', why: 'level drawn', source: 'time-critical' }],
    medicines: [
      {
        medicineId: 'budesonide',
        minutesBefore: 180,
        minutesAfter: 240,
        why: 'long effect',
        source: 'scheduled',
      },
      {
        medicineId: 'iloprost',
        minutesBefore: 10,
        minutesAfter: 20,
        why: 'short effect',
        source: 'scheduled',
      },
    ],
  }
  it('are time-critical at any frequency when they are on the list', () => {
    expect(window('BID', ['tobramycin'], own)).toEqual(['time-critical', 30, 30])
  })
  it('have their own window, wider or tighter than the class', () => {
    expect(window('BID', ['budesonide'], own)).toEqual(['more-often-than-daily', 180, 240])
    expect(window('Q4H', ['iloprost'], own)).toEqual(['more-often-than-daily', 10, 20])
  })
  it('take the tightest of what shares a cup', () => {
    expect(window('BID', ['budesonide', 'albuterol'], own)).toEqual(['more-often-than-daily', 60, 60])
    expect(window('BID', ['budesonide', 'iloprost'], own)).toEqual(['more-often-than-daily', 10, 20])
  })
})

describe('doses that are not scheduled to the clock', () => {
  it('have no window before them (CMS 2011: not eligible for scheduled times)', () => {
    const before = (['stat', 'first', 'once', 'continuous'] as const).map((kind) =>
      exactWindow(kind, windows),
    )
    expect(before.map((rule) => [rule.class, rule.minutesBefore])).toEqual(Array(4).fill(['exact', 0]))
  })
})

describe('the least time between doses', () => {
  it('is what the department set for the code, else the shortest gap less one window', () => {
    expect(scheduledGap('q4h', 240, 60, windows).minutes).toBe(180)
    expect(scheduledGap('BID', 720, 60, windows).minutes).toBe(660)
    expect(scheduledGap('Q2H', 120, 30, windows).minutes).toBe(90)
  })
  it('of times stated close together keeps half of their gap: a window as long as the gap leaves none to be too soon for', () => {
    for (const [shortest, minutes] of [
      [60, 30],
      [45, 23],
      [119, 60],
      [120, 60],
      [121, 61],
    ] as const) {
      expect(scheduledGap('BID', shortest, 60, windows).minutes).toBe(minutes)
    }
    const { steps, sources } = scheduledGap('BID', 60, 60, windows)
    expect(steps).toEqual([
      'BID: 60 min less a window of 60 min, cut to 0.5 of that gap, 30 min = 30 min apart',
    ])
    expect(sources.map(({ key }) => key)).toContain(windows.notBeyondShareOfInterval.source)
  })
})
