import { describe, expect, it } from 'vitest'
import { startedDay } from '../../test/planning/living.ts'
import { simulate } from '../../test/planning/simulate.ts'
import { begunBy, type Day, promisesOf } from './day.ts'
import { explainVisit, NotPlanned } from './explain.ts'
import { decide } from './replan/decide.ts'
import { settle } from './replan/settle.ts'

const MIDDLE = { now: 200, freezeMinutes: 10 }
const day = () => startedDay('shifts/shift-02-k2-n36.json', 1)

/** Every other place for a visit, priced by living the whole day again in the plain way. */
function bruteForce(of: Day, visit: string, now: number) {
  const settled = settle(of, begunBy(of, now), now, MIDDLE.freezeMinutes)
  const done = settled.done.map((stops) => [...stops])
  const open = settled.open.map((stops) => stops.map((stop) => stop.visit ?? 'break'))
  const base = simulate(of, done, open, now)
  const without = open.map((route) => route.filter((id) => id !== visit))
  const places = without.flatMap((route, k) =>
    Array.from({ length: route.length + 1 }, (_, i) => {
      const routes = without.map((other, j) => (j === k ? route.toSpliced(i, 0, visit) : other))
      const lived = simulate(of, done, routes, now)
      if (lived === null) return []
      const therapist = of.shift.therapists[k]?.id as string
      return [
        { therapist, start: lived.starts.get(visit) as number, extra: lived.total - (base?.total ?? 0) },
      ]
    }).flat(),
  )
  return { places, leftOut: (simulate(of, done, without, now)?.total ?? 0) - (base?.total ?? 0) }
}

const least = (values: readonly { readonly extra: number }[]) =>
  values.length === 0 ? null : Math.min(...values.map((value) => value.extra))

describe('explaining a visit', () => {
  it('prices every other place in mid-shift as living the day again does, and offers none in the past', () => {
    const of = day()
    const open = promisesOf(of.schedule).filter(
      (item) => item.start >= MIDDLE.now + MIDDLE.freezeMinutes + 10,
    )
    expect(open.length).toBeGreaterThan(10)
    for (const { visit, therapist, start } of open) {
      const explained = explainVisit(of, visit, MIDDLE)
      const brute = bruteForce(of, visit, MIDDLE.now)
      const { earlier, later, byTherapist, leftOut } = explained.alternatives ?? {
        earlier: null,
        later: null,
        byTherapist: [],
        leftOut: { extraPoints: Number.NaN },
      }
      expect(explained.standing).toBe('open')
      expect(earlier?.extraPoints ?? null).toBe(least(brute.places.filter((place) => place.start < start)))
      expect(later?.extraPoints ?? null).toBe(least(brute.places.filter((place) => place.start > start)))
      for (const other of of.shift.therapists.filter((item) => item.id !== therapist))
        expect(byTherapist.find((item) => item.therapist === other.id)?.extraPoints ?? null).toBe(
          least(brute.places.filter((place) => place.therapist === other.id)),
        )
      expect(leftOut.extraPoints).toBe(brute.leftOut)
      for (const place of [earlier, later, ...byTherapist])
        if (place !== null) {
          expect(place.start).toBeGreaterThanOrEqual(MIDDLE.now)
          expect(Object.values(place.extraParts).reduce((a, b) => a + b, 0)).toBe(place.extraPoints)
        }
    }
  })

  it('names the visits that an alternative pushes, and what it costs them', () => {
    const of = day()
    const all = promisesOf(of.schedule)
      .filter((item) => item.start > 220)
      .flatMap(({ visit }) => {
        const { alternatives } = explainVisit(of, visit, MIDDLE)
        return [alternatives?.earlier, alternatives?.later, ...(alternatives?.byTherapist ?? [])]
      })
    const pushing = all.filter((place) => (place?.pushed.length ?? 0) > 0)
    expect(pushing.length).toBeGreaterThan(0)
    for (const place of pushing)
      for (const { visit, byMinutes, moreLateMinutes } of place?.pushed ?? []) {
        expect(byMinutes).toBeGreaterThan(0)
        expect(moreLateMinutes).toBeLessThanOrEqual(byMinutes)
        expect(promisesOf(of.schedule).some((item) => item.visit === visit)).toBe(true)
      }
  })

  it('says how far a visit may slip where it is: free of cost until then, and not at all after', () => {
    const of = day()
    const settled = settle(of, begunBy(of, MIDDLE.now), MIDDLE.now, MIDDLE.freezeMinutes)
    const done = settled.done.map((stops) => [...stops])
    const open = settled.open.map((stops) => stops.map((stop) => stop.visit ?? 'break'))
    const cost = simulate(of, done, open, MIDDLE.now)?.total
    for (const { visit, start } of promisesOf(of.schedule).filter((item) => item.start > 220)) {
      const { alternatives } = explainVisit(of, visit, MIDDLE)
      const slipped = (until: number) => simulate(opening(of, visit, until), done, open, MIDDLE.now)
      if (alternatives === null) throw new Error('an open visit has alternatives')
      expect(alternatives.slipsFreeUntil).toBeGreaterThanOrEqual(start)
      expect(slipped(alternatives.slipsFreeUntil)?.total).toBe(cost)
      expect(slipped(alternatives.slipsUntil)).not.toBeNull()
      expect(slipped(alternatives.slipsUntil + 1)).toBeNull()
    }
  })

  it('says why: window, gap, way, isolation, promise and pin', () => {
    const of = day()
    const kinds = new Set(
      promisesOf(of.schedule).map(
        (item) => explainVisit(of, item.visit, { now: 0, freezeMinutes: 10 }).binding.kind,
      ),
    )
    expect([...kinds].sort()).toEqual(expect.arrayContaining(['stop-before', 'window']))
    const visit = promisesOf(of.schedule).find(
      (item) =>
        item.start > 240 && (explainVisit(of, item.visit, MIDDLE).alternatives?.byTherapist.length ?? 0) > 0,
    )
    const pinned = decide(of, { kind: 'place', ...(visit as NonNullable<typeof visit>) }, 200, {
      freezeMinutes: 10,
      seed: 1,
    })
    const explained = explainVisit(pinned.day, visit?.visit ?? '', MIDDLE)
    expect(explained.pin).toEqual(visit)
    expect(explained.alternatives?.byTherapist.length).toBeGreaterThan(0)
  })

  it('offers no alternative for what has begun or is frozen', () => {
    const of = day()
    const begun = promisesOf(of.schedule).find((item) => item.start < 200)
    const frozen = promisesOf(of.schedule).find((item) => item.start > 200 && item.start < 210)
    expect(explainVisit(of, begun?.visit ?? '', MIDDLE)).toMatchObject({
      standing: 'begun',
      alternatives: null,
    })
    if (frozen !== undefined)
      expect(explainVisit(of, frozen.visit, MIDDLE)).toMatchObject({ standing: 'frozen', alternatives: null })
    expect(() => explainVisit(of, 'V999', MIDDLE)).toThrow(NotPlanned)
  })
})

/** The same day, but the visit may not begin before the given minute. */
function opening(of: Day, id: string, earliest: number): Day {
  const visits = of.shift.visits.map((visit) => (visit.id === id ? { ...visit, earliest } : visit))
  return { ...of, shift: { ...of.shift, visits } }
}
