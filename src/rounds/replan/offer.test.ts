import { describe, expect, it } from 'vitest'
import { checkDay } from '../../../test/planning/day-check.ts'
import { readJson } from '../../../test/planning/read.ts'
import { readShift } from '../check.ts'
import { compile } from '../compile.ts'
import { beginDay, standingFrom } from '../day.ts'
import { pricedState } from '../evaluate.ts'
import { constructed } from '../improve.ts'
import { betterOffer } from './offer.ts'

/** A day whose plan has only been constructed, so that much can be gained. */
function roughDay(path: string) {
  const compiled = compile(readShift(readJson(path)).shift)
  const day = beginDay(compiled.shift, pricedState(compiled, constructed(compiled.flat)).schedule)
  return {
    day,
    standing: standingFrom(
      day,
      0,
      day.schedule.map(() => []),
    ),
  }
}

describe('offering a better plan', () => {
  const rough = roughDay('shifts/shift-02-k2-n36.json')
  const options = { seed: 1, effort: { iterations: 1500 } }

  it('offers a plan that earns more than it disturbs, and says what it changes', () => {
    const offer = betterOffer(rough, { ...options, leastGainPerChange: 0 })
    expect(offer).not.toBeNull()
    if (offer === null) return
    const before = checkDay(rough.day, 0)
    const after = checkDay(offer.day, 0)
    const { reassign, postpone } = offer.priced.parts
    expect(after.broken).toEqual([])
    expect(offer.gain).toBe(before.total - after.total - reassign - postpone)
    expect(offer.changes.length).toBeGreaterThan(0)
  })

  it('offers nothing where every change must earn more than it can', () => {
    expect(betterOffer(rough, { ...options, leastGainPerChange: 10_000 })).toBeNull()
  })

  it('offers nothing when it is stopped at once', () => {
    expect(betterOffer(rough, { ...options, leastGainPerChange: 0, stop: () => true })).toBeNull()
  })

  it('offers nothing better than the proven optimum', () => {
    const compiled = compile(readShift(readJson('shifts/shift-01-k1-n12.json')).shift)
    const state = constructed(compiled.flat)
    const best = betterOffer(
      { day: beginDay(compiled.shift, pricedState(compiled, state).schedule), standing: compiled.standing },
      { ...options, leastGainPerChange: 0 },
    )
    expect(best?.priced.total ?? state.cost()).toBeGreaterThanOrEqual(291) // proven, reference-values.csv
  })
})
