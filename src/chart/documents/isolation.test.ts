import { describe, expect, it } from 'vitest'
import { ISOLATION, precautionsFor } from './isolation.ts'

const given = (codes: readonly string[], generating: readonly string[] = []) =>
  precautionsFor(codes, ISOLATION.defaults, new Set(generating))

/** CDC, Sequence for putting on / removing personal protective equipment, as given by two teaching pages. */
describe('order of putting on and taking off, against the CDC sequence', () => {
  it('is gown, mask, eyes, gloves on; gloves, eyes, gown, mask off', () => {
    const everything = given(['CON'], ['CON'])
    expect(everything.putOn).toEqual(['gown', 'surgical mask', 'eye protection', 'gloves'])
    expect(everything.takeOff).toEqual(['gloves', 'eye protection', 'gown', 'surgical mask'])
  })
  it('wears a respirator, and no mask under it, when the droplets may carry the germ', () => {
    const droplet = given(['DRP'], ['DRP'])
    expect(droplet.putOn).toEqual(['gown', 'respirator N95 or higher', 'eye protection', 'gloves'])
    expect(droplet.takeOff.at(-1)).toBe('respirator N95 or higher')
    expect(given(['DRP']).putOn).toEqual(['surgical mask'])
  })
})

describe('precautionsFor', () => {
  it('joins categories, each thing once', () => {
    const both = given(['CON', 'AIR'])
    expect(both.names).toEqual(['standard', 'contact', 'airborne'])
    expect(both.putOn).toEqual(['gown', 'respirator N95 or higher', 'gloves'])
    expect(both.before.filter((each) => each === 'hand hygiene')).toHaveLength(1)
    expect(both.rooms).toHaveLength(2)
  })
  it('ranks protective first, then none, contact and droplet, airborne last; an infection outranks protection', () => {
    const ranks = [['PRO'], [], ['CON'], ['DRP'], ['AIR'], ['PRO', 'CON']].map(
      (codes) => given(codes).roundRank,
    )
    expect(ranks).toEqual([0, 1, 2, 2, 3, 2])
  })
  it('names a code that it does not know, and keeps the rest', () => {
    const odd = given(['XYZ', 'CON'])
    expect(odd.unknown).toEqual(['XYZ'])
    expect(odd.putOn).toEqual(['gown', 'gloves'])
  })
})
