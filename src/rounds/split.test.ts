import { describe, expect, it } from 'vitest'
import { pricePlainly } from '../../test/planning/evaluator.ts'
import { startedDay } from '../../test/planning/living.ts'
import { readJson } from '../../test/planning/read.ts'
import { readShift } from './check.ts'
import { priceStops } from './evaluate.ts'
import { splitShift } from './split.ts'
import { CannotAsk, whatIfLeaves } from './what-if.ts'

const { shift } = readShift(readJson('shifts/shift-04-k5-n100.json'))
const effort = { iterations: 1500 }

describe('splitting patients at the start', () => {
  const plain = splitShift(shift, { seed: 1, effort, knownBy: {} })

  it('gives every patient to somebody, with the load and the units of each', () => {
    const alone = plain.shares.flatMap((share) => share.patients)
    const shared = new Set(plain.shares.flatMap((share) => share.shared))
    expect(new Set(alone).size).toBe(alone.length)
    const seen = new Set([...alone, ...shared])
    for (const patient of shift.patients)
      expect(seen.has(patient.id)).toBe(shift.visits.some((visit) => visit.patient === patient.id))
    const price = pricePlainly(shift, plain.priced.plan.routes)
    expect(price.broken).toEqual([])
    expect(Math.max(...plain.shares.map((share) => share.loadMinutes))).toBe(price.parts.maxLoad)
    const bedside = plain.shares.flatMap((share) => share.bedsideByHour).reduce((a, b) => a + b, 0)
    expect(bedside).toBe(shift.visits.reduce((sum, visit) => sum + visit.duration, 0))
  })

  it('leaves patients with whom they know, as far as the price of it goes', () => {
    const knownBy = Object.fromEntries(
      shift.patients.map((patient, i) => [patient.id, shift.therapists[i % 2]?.id as string]),
    )
    const dear = { ...shift, weights: { ...shift.weights, reassign: 200 } }
    const known = (of: typeof plain) => of.shares.reduce((sum, share) => sum + share.known.length, 0)
    const split = splitShift(dear, { seed: 1, effort, knownBy })
    const without = plain.shares.reduce(
      (sum, share) =>
        sum + [...share.patients, ...share.shared].filter((p) => knownBy[p] === share.therapist).length,
      0,
    )
    expect(known(split)).toBeGreaterThan(without)
    expect(split.priced.parts.postpone).toBe(0)
  })
})

describe('what if somebody goes home', () => {
  const day = startedDay('shifts/shift-04-k5-n100.json', 1)
  const options = { freezeMinutes: 10, seed: 1 }

  it('shows the other plan beside the present one, and leaves the present one as it is', () => {
    const before = JSON.stringify(day)
    const answer = whatIfLeaves(day, 'T2', 300, 120, options)
    expect(JSON.stringify(day)).toBe(before)
    const hers = answer.instead.day.schedule.find((item) => item.therapist === 'T2')?.stops ?? []
    expect(hers.every((stop) => stop.end <= 300)).toBe(true)
    const present = priceStops(
      { ...shift, previousPlan: null },
      day.schedule.map((item) => item.stops),
    )
    const instead = priceStops(
      { ...shift, previousPlan: null },
      answer.instead.day.schedule.map((item) => item.stops),
    )
    expect(answer.morePoints).toBe(instead.total - present.total)
    expect(answer.moreLateMinutes).toBe(instead.lateMinutes - present.lateMinutes)
    expect(answer.alsoDropped).toEqual(instead.dropped.filter((visit) => !present.dropped.includes(visit)))
    expect(answer.instead.changes.some((change) => change.from?.therapist === 'T2')).toBe(true)
  })

  it('asks nothing of somebody who is not there, or of the past', () => {
    expect(() => whatIfLeaves(day, 'T99', 300, 120, options)).toThrow(CannotAsk)
    expect(() => whatIfLeaves(day, 'T2', 100, 120, options)).toThrow('minute 100 has passed')
  })
})
