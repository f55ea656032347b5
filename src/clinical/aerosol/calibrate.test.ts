import { describe, expect, it } from 'vitest'
import { coverage, drawTruth, generator, minutesOf, simulate, usual } from '../../../bench/simulated-runs.ts'
import { type ChartedRun, calibrate } from './calibrate.ts'
import { JET_DROPLETS, JET_SPUTTER } from './cup-kinds.ts'
import { minutesUntil, runTimes } from './run-times.ts'
import { logStudentFall, logStudentPeak, STUDENT_90, studentAbove } from './student.ts'

describe('learning from charted runs', () => {
  it('gives back the published spread when there are none', () => {
    const none = calibrate([])
    expect(none.runs).toBe(0)
    expect(none.dropletGPerMin).toEqual(JET_DROPLETS)
    expect(none.sputterMl).toEqual(JET_SPUTTER)
  })
  it('hardly moves from it when a run was stopped at once', () => {
    const one = calibrate([{ conditions: usual, ended: 'stopped', minutes: 0.2 }])
    for (const [ours, published] of [
      [one.dropletGPerMin, JET_DROPLETS],
      [one.sputterMl, JET_SPUTTER],
    ] as const) {
      expect(Math.abs(ours.low / published.low - 1)).toBeLessThan(0.03)
      expect(Math.abs(ours.likely / published.likely - 1)).toBeLessThan(0.03)
      expect(Math.abs(ours.high / published.high - 1)).toBeLessThan(0.03)
    }
  })

  it('covers the truth as often as it says: 800 hospitals, 6 runs each, some stopped, some weighed', () => {
    const hospitals = 800
    // 90 % stated; the share found in so many hospitals has a standard error of 1.06 points: three of them each way
    const reach = 3 * Math.sqrt((0.9 * 0.1) / hospitals)
    for (const share of Object.values(coverage(hospitals, 6, 20_251))) {
      expect(Math.abs(share - 0.9)).toBeLessThan(reach)
    }
  }, 120_000)

  it('finds both figures from forty runs with weights, and narrows as runs come in', () => {
    const random = generator(7)
    const truth = { dropletGPerMin: 0.19, sputterMl: 0.85, scatter: 0.08 }
    const runs = Array.from({ length: 40 }, () => simulate(truth, random, { stopped: 0.1, weighed: 1 }))
    const widths = [0, 4, 12, 40].map((n) => {
      const { low, high } = calibrate(runs.slice(0, n)).dropletGPerMin
      return high - low
    })
    expect(widths).toEqual([...widths].sort((a, b) => b - a))
    const learned = calibrate(runs)
    expect(learned.dropletGPerMin.likely / truth.dropletGPerMin).toBeCloseTo(1, 1)
    expect(Math.abs(learned.sputterMl.likely - truth.sputterMl)).toBeLessThan(0.1)
  })

  it('is not carried away by one run charted at three times its length, and points at it', () => {
    const random = generator(11)
    const truth = { dropletGPerMin: 0.15, sputterMl: 1, scatter: 0.06 }
    const runs = Array.from({ length: 10 }, () => simulate(truth, random, { stopped: 0, weighed: 0.5 }))
    const spoiled = runs.map((run, i) => (i === 3 ? { ...run, minutes: run.minutes * 3 } : run))
    const [clean, robust] = [calibrate(runs), calibrate(spoiled)]
    expect(robust.dropletGPerMin.likely / clean.dropletGPerMin.likely).toBeCloseTo(1, 1)
    expect(robust.oddRuns).toEqual([3])
    expect(clean.oddRuns).toEqual([])
  })

  it('takes a stopped run as “at least so long”: never shortens, and moves longer only when it must', () => {
    const run: ChartedRun = { conditions: usual, ended: 'sputter', minutes: 10 }
    const six = Array.from({ length: 6 }, () => run)
    const early = calibrate([...six, { ...run, ended: 'stopped', minutes: 3 }])
    const base = calibrate(six)
    expect(early.dropletGPerMin.likely / base.dropletGPerMin.likely).toBeCloseTo(1, 2)
    const late = calibrate([
      run,
      ...Array.from({ length: 5 }, () => ({ ...run, ended: 'stopped' as const, minutes: 14 })),
    ])
    const ofSputter = calibrate([run])
    expect(late.dropletGPerMin.likely).toBeLessThan(ofSputter.dropletGPerMin.likely)
  })

  it('gives the same for the same runs in any order', () => {
    const random = generator(3)
    const truth = drawTruth(random)
    const runs = Array.from({ length: 5 }, () => simulate(truth, random, { stopped: 0.2, weighed: 0.5 }))
    const turned = calibrate([...runs].reverse())
    expect(turned.dropletGPerMin.likely).toBeCloseTo(calibrate(runs).dropletGPerMin.likely, 9)
  })
})

describe('the parts', () => {
  it('the tabled run times agree with a run of their own to 0.1 %', () => {
    for (const fillMl of [2, 3, 6]) {
      const times = runTimes({ ...usual, fillMl })
      for (const dropletGPerMin of [0.09, 0.12, 0.17, 0.33]) {
        for (const sputterMl of [0.6, 1.15, 1.7]) {
          const own = minutesOf({ dropletGPerMin, sputterMl, scatter: 0 }, { ...usual, fillMl })
          expect(Math.abs(minutesUntil(times, dropletGPerMin, sputterMl) / own - 1)).toBeLessThan(0.001)
        }
      }
    }
  })
  it('Student with four degrees of freedom: the share above is the integral of the density', () => {
    for (const from of [-3, -1, 0, 0.7, 2.5]) {
      let sum = 0
      for (let i = 0; i < 400_000; i++)
        sum += Math.exp(logStudentPeak(1) + logStudentFall(from + (i + 0.5) / 2000)) / 2000
      expect(studentAbove(from)).toBeCloseTo(sum, 5)
    }
    expect(studentAbove(STUDENT_90)).toBeCloseTo(0.05, 9)
  })
})

describe('refuses a run that cannot be used, and says which', () => {
  const run: ChartedRun = { conditions: usual, ended: 'sputter', minutes: 10 }
  it.each([
    [{ ...run, minutes: Number.NaN }, /runs\[1\].minutes is NaN; allowed: 0.1 to 180 min/],
    [{ ...run, minutes: -1 }, /runs\[1\].minutes is -1/],
    [{ ...run, leftG: 5 }, /runs\[1\].leftG is 5; allowed: 0 to 4 g/],
    [{ ...run, conditions: { ...usual, flowLPerMin: 0 } }, /runs\[1\].conditions.flowLPerMin is 0/],
    [{ ...run, ended: 'dropped' as never }, /runs\[1\].ended is dropped; allowed: sputter, stopped/],
  ])('%#', (bad, message) => {
    expect(() => calibrate([run, bad])).toThrow(message)
  })
})
