import { describe, expect, it } from 'vitest'
import { tellPast } from '../../api/past-told.ts'
import type { Learned } from '../../api/schemas.ts'
import type { PastRun } from '../../chart/folds/charted-runs.ts'
import type { PastStay } from '../../shift/index.ts'
import { createApi } from './api.ts'
import { LearnedKeeper, NOTHING_TOLD } from './learned-keeper.ts'

const MINUTE_MS = 60_000
const RUN: PastRun = {
  visitId: 'v1',
  cupId: 'tee-jet',
  endedAt: '2026-03-10T12:16:00.123Z',
  runMs: 599_001,
  how: 'finished',
  leftMl: 0.8,
  fillMl: 3,
  gas: 'air',
  flowLPerMin: 6,
  fromCompressor: false,
}
const TOOK = { category: 'STD', cupId: 'tee-jet', medicines: 'albuterol', runMs: 599_001, handsMs: 900_000 }
const STAYS: PastStay[] = [
  { visitId: 'v1', openedAt: '2026-03-10T12:00:00.000Z', took: { ...TOOK, forecastMinutes: 9.25 } },
  { visitId: 'v2', openedAt: '2026-03-10T13:00:00.000Z', took: { ...TOOK, forecastMinutes: null } },
  { visitId: 'v3', openedAt: '2026-03-10T14:00:00.000Z', took: null },
]
const ROWS = { runs: [RUN, { ...RUN, visitId: 'v2', leftMl: null, fillMl: null }], stays: STAYS }
const TOLD = { past: tellPast(ROWS, '2026-03-10T15:00:00.000Z') }

/** A tablet with a disk, and a server that says what it is told to. */
function tablet(says: () => Response) {
  const disk = new Map<string, unknown>()
  const world = { nowMs: 1_800_000_000_000, asked: 0, changes: 0, isFull: false, says }
  const make = () =>
    new LearnedKeeper({
      api: createApi(async () => {
        world.asked += 1
        return world.says()
      }),
      keep: {
        note: async (key) => disk.get(key),
        setNote: async (key, value) => {
          if (world.isFull) throw new Error('the disk is full')
          disk.set(key, structuredClone(value))
        },
      },
      nowMs: () => world.nowMs,
      changed: () => {
        world.changes += 1
      },
    })
  return { disk, world, make }
}

const reply =
  (body: unknown, status = 200) =>
  () =>
    new Response(JSON.stringify(body), { status })

describe('what is told of past visits', () => {
  it('comes through as it was, to the millisecond, and holds without a network after a reload', async () => {
    const { world, make } = tablet(reply(TOLD))
    const first = make()
    await first.load()
    expect(first.told).toBe(NOTHING_TOLD)
    await first.ask()
    expect(first.told).toEqual(ROWS)

    world.says = () => {
      throw new TypeError('no network')
    }
    const again = make()
    await again.load()
    expect(again.told).toEqual(ROWS)
    await again.ask()
    expect(again.told).toEqual(ROWS)
    expect(world.changes).toBe(2)
  })

  it('is asked for once an hour, and is the same object in between', async () => {
    const { world, make } = tablet(reply(TOLD))
    const keeper = make()
    await Promise.all([keeper.ask(), keeper.ask()])
    const { told } = keeper
    world.nowMs += 59 * MINUTE_MS
    await keeper.ask()
    expect([world.asked, keeper.told === told]).toEqual([1, true])
    world.nowMs += 2 * MINUTE_MS
    await keeper.ask()
    expect(world.asked).toBe(2)
  })

  it.each<[string, () => Response]>([
    ['still counts', reply({ past: null } satisfies Learned)],
    ['is an old one', reply({ error: { code: 'not-there', what: 'w', kept: 'k', todo: 't' } }, 404)],
    ['says something else', reply({ past: { ...TOLD.past, names: [] } })],
    ['answers for another', () => new Response('<html>Sign in to the guest network</html>')],
  ])('stays what it was while the server %s, which is asked again soon', async (_how, says) => {
    const { world, make } = tablet(reply(TOLD))
    const keeper = make()
    await keeper.ask()
    const { told } = keeper
    world.says = says
    world.nowMs += 61 * MINUTE_MS
    await keeper.ask()
    expect(keeper.told).toBe(told)
    await keeper.ask()
    expect(world.asked).toBe(2)
    world.nowMs += 2 * MINUTE_MS
    world.says = reply(TOLD)
    await keeper.ask()
    expect([world.asked, keeper.told === told]).toEqual([3, false])
  })

  it('is passed over where another version of the program kept it otherwise', async () => {
    const { disk, make } = tablet(reply(TOLD))
    for (const kept of [{ old: 'form' }, 'text', { ...TOLD.past, runs: [['v1']] }]) {
      disk.set('learned', kept)
      const keeper = make()
      await keeper.load()
      expect(keeper.told).toBe(NOTHING_TOLD)
    }
  })

  it('holds until the app is closed on a disk that is full', async () => {
    const { world, make } = tablet(reply(TOLD))
    world.isFull = true
    const keeper = make()
    await keeper.ask()
    expect(keeper.told).toEqual(ROWS)
  })
})
