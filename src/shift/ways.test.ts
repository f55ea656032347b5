import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { HOSPITAL_MAP, type HospitalMap } from '../chart/documents/hospital-map.ts'
import { Ways } from './ways.ts'

const MAP = HOSPITAL_MAP.defaults
const ways = new Ways(MAP)

/** All shortest ways by Floyd and Warshall, written a second time without the graph library [s]. */
function allPairs(map: HospitalMap): Map<string, number> {
  const ids = map.places.map(({ id }) => id)
  const floor = new Map(map.places.map((place) => [place.id, place.floor]))
  const seconds = new Map<string, number>(ids.map((id) => [`${id} ${id}`, 0]))
  const put = (a: string, b: string, value: number) => {
    for (const key of [`${a} ${b}`, `${b} ${a}`])
      seconds.set(key, Math.min(value, seconds.get(key) ?? Infinity))
  }
  for (const { between, seconds: value } of map.corridors) put(between[0], between[1], value)
  const shafts = [...map.lifts, ...map.stairs.map((stairs) => ({ ...stairs, waitSeconds: 0 }))]
  for (const { stops, waitSeconds, secondsPerFloor } of shafts)
    for (const a of stops)
      for (const b of stops)
        if (a !== b)
          put(a, b, waitSeconds + secondsPerFloor * Math.abs((floor.get(a) ?? 0) - (floor.get(b) ?? 0)))
  for (const via of ids)
    for (const a of ids)
      for (const b of ids) {
        const round = (seconds.get(`${a} ${via}`) ?? Infinity) + (seconds.get(`${via} ${b}`) ?? Infinity)
        if (round < (seconds.get(`${a} ${b}`) ?? Infinity)) seconds.set(`${a} ${b}`, round)
      }
  return seconds
}

describe('ways through the hospital', () => {
  it('are the shortest there are, between any two places', () => {
    const shortest = allPairs(MAP)
    for (const { id: a } of MAP.places)
      for (const { id: b } of MAP.places) expect(ways.between(a, b)?.seconds).toBe(shortest.get(`${a} ${b}`))
  })
  it('go leg by leg from end to end', () => {
    const way = ways.between('resp', '4west-far')
    expect(way?.places[0]).toBe('resp')
    expect(way?.places.at(-1)).toBe('4west-far')
    expect(way?.legs.map(({ from, to }) => [from, to])).toEqual(
      way?.places.slice(1).map((place, at) => [way.places[at], place]),
    )
    expect(way?.legs.reduce((sum, { seconds }) => sum + seconds, 0)).toBe(way?.seconds)
  })
  it('takes the lift for three floors and the stairs for one, wait reckoned in', () => {
    expect(ways.between('lobby-1', 'lobby-4')?.legs).toEqual([
      { how: 'lift', name: 'Main lifts', from: 'lobby-1', to: 'lobby-4', seconds: 60 + 3 * 8 },
    ])
    expect(ways.between('lobby-1', 'lobby-2')?.legs.map(({ how }) => how)).toEqual(['stairs'])
  })
  it('keeps the triangle inequality and symmetry in whole minutes, whatever the map', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 400 }), { minLength: 30, maxLength: 30 }), (lengths) => {
        const corridors = MAP.corridors.map((way, at) => ({ ...way, seconds: lengths[at] ?? way.seconds }))
        const ids = MAP.places.map(({ id }) => id)
        const minutes = new Ways({ ...MAP, corridors }).minutesBetween(ids)
        const at = (i: number, j: number) => minutes[i]?.[j] ?? Number.NaN
        for (let i = 0; i < ids.length; i += 1)
          for (let j = 0; j < ids.length; j += 1) {
            expect(at(i, j)).toBe(at(j, i))
            for (let via = 0; via < ids.length; via += 1)
              expect(at(i, j)).toBeLessThanOrEqual(at(i, via) + at(via, j))
          }
      }),
      { numRuns: 5 },
    )
  })
  it('knows where a bed is entered, and what is not on the map', () => {
    expect(ways.placeOf('4WEST', '7')).toBe('4west')
    expect(ways.placeOf('4WEST', '15')).toBe('4west-far')
    expect(ways.placeOf('ROOF', '1')).toBeNull()
    expect(ways.between('resp', 'roof')).toBeNull()
    expect(() => ways.minutesBetween(['resp', 'roof'])).toThrow(/no way leads from resp to roof/)
  })
})
