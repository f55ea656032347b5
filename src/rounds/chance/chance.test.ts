import { describe, expect, it } from 'vitest'
import { judgeShift } from '../../../test/planning/calibration.ts'
import { startedDay } from '../../../test/planning/living.ts'
import { readJson } from '../../../test/planning/read.ts'
import { readShift } from '../check.ts'
import { bandOf, expectedLateness, onTimeChances } from './chance.ts'
import { reliabilityTable } from './reliability.ts'
import { robustPlan } from './robust-plan.ts'
import { USUAL_SCATTER } from './scatter.ts'

const OPTIONS = { samples: 300, seed: 1, scatter: USUAL_SCATTER }
const opening = () => startedDay('shifts/shift-04-k5-n100.json', 1)
const none = opening().shift.therapists.map(() => 0)

describe('the chance of being on time', () => {
  it('is the same for the same seed, and certain when nothing scatters', () => {
    const day = opening()
    expect(onTimeChances(day, 0, none, OPTIONS)).toEqual(onTimeChances(day, 0, none, OPTIONS))
    const firm = { ...OPTIONS, scatter: { durationCv: 0, walkCv: 0, planned: 'mean' as const } }
    const starts = new Map(day.schedule.flatMap((item) => item.stops.map((stop) => [stop.visit, stop.start])))
    const chances = onTimeChances(day, 0, none, firm)
    expect(chances).toHaveLength(100)
    for (const { visit, chance, medianStart, start90 } of chances) {
      const limit = day.shift.visits.find((item) => item.id === visit)?.onTimeUntil as number
      expect([medianStart, start90]).toEqual([starts.get(visit), starts.get(visit)])
      expect(chance).toBe((starts.get(visit) as number) <= limit ? 1 : 0)
    }
    expect(expectedLateness(day, 0, none, firm)).toBe(0)
  })

  it('falls as times scatter more, and is told for the visits still to come only', () => {
    const day = opening()
    const wild = { ...OPTIONS, scatter: { durationCv: 0.6, walkCv: 0.6, planned: 'mean' as const } }
    const mean = (list: readonly { chance: number }[]) =>
      list.reduce((sum, item) => sum + item.chance, 0) / list.length
    expect(mean(onTimeChances(day, 0, none, wild))).toBeLessThan(mean(onTimeChances(day, 0, none, OPTIONS)))
    const begun = day.schedule.map(({ stops }) => stops.filter((stop) => stop.start <= 300).length)
    const later = onTimeChances(day, 300, begun, OPTIONS)
    expect(later.length).toBe(
      day.schedule.flatMap((item) => item.stops).filter((stop) => stop.visit !== null && stop.start > 300)
        .length,
    )
  })

  it('is marked by bands', () => {
    expect([1, 0.95, 0.949, 0.8, 0.799, 0.5, 0.499, 0].map(bandOf)).toEqual([
      'safe',
      'safe',
      'likely',
      'likely',
      'open',
      'open',
      'doubtful',
      'doubtful',
    ])
  })

  it('comes true: of the visits given so much, about that share is on time in shifts lived by another program', () => {
    const nature = { law: 'lognormal', durationCv: 0.4, walkCv: 0.5 } as const
    const judged = ['shifts/shift-02-k2-n36.json', 'shifts/shift-04-k5-n100.json'].flatMap((path) =>
      Array.from({ length: 25 }, (_, i) =>
        judgeShift(startedDay(path, 1), [0, 240, 420], nature, 500 + i, 150),
      ).flat(),
    )
    const middle = judged.filter(({ chance }) => chance >= 0.7 && chance < 0.9)
    const share = middle.filter(({ onTime }) => onTime).length / middle.length
    const told = middle.reduce((sum, { chance }) => sum + chance, 0) / middle.length
    expect(middle.length).toBeGreaterThan(120)
    expect(Math.abs(share - told)).toBeLessThan(0.06)
    const all = judged.reduce((sum, { chance, onTime }) => sum + chance - (onTime ? 1 : 0), 0) / judged.length
    expect(Math.abs(all)).toBeLessThan(0.02)
  })
})

describe('a reliability table', () => {
  it('counts what was told against what came', () => {
    const pairs = [0.05, 0.5, 0.55, 0.9, 1].map((chance, i) => ({ chance, onTime: i >= 2 }))
    expect(reliabilityTable(pairs, 2)).toEqual([
      { from: 0, until: 0.5, visits: 1, meanChance: 0.05, onTimeShare: 0 },
      { from: 0.5, until: 1, visits: 4, meanChance: (0.5 + 0.55 + 0.9 + 1) / 4, onTimeShare: 0.75 },
    ])
  })
})

describe('a plan with reserve', () => {
  const { shift } = readShift(readJson('shifts/shift-04-k5-n100.json'))
  const options = { seed: 1, effort: () => ({ iterations: 400 }), chance: OPTIONS }

  it('is worth more by the policy than the plan by planned times, and never costs less as planned than it says', () => {
    const { chosen, planned } = robustPlan(shift, { ...options, weight: 2 })
    const worth = (plan: typeof chosen) => plan.priced.total + 2 * plan.expectedLatePoints
    expect(worth(chosen)).toBeLessThanOrEqual(worth(planned))
    expect(chosen.expectedLatePoints).toBeLessThanOrEqual(planned.expectedLatePoints)
  })

  it('is the plan by planned times where robustness is worth nothing', () => {
    const { chosen, planned } = robustPlan(shift, { ...options, weight: 0 })
    expect(chosen).toBe(planned)
    expect(chosen.reserveMinutes).toBe(0)
  })
})
