import { describe, expect, it } from 'vitest'
import type { Look } from '../../api/schemas.ts'
import { LookTeller } from './look-teller.ts'

const NO = { code: 'locked', what: 'locked', kept: '', todo: '' }

/** A tablet whose disk is a list, and a server that can be away, or lose its answer after it has noted. */
function tablet() {
  const disk: Look[] = []
  const told: Look[] = []
  const world = {
    line: 'open' as 'open' | 'away' | 'answer lost' | 'refused',
    nowMs: 1_800_000_000_000,
    count: 0,
  }
  const make = () =>
    new LookTeller({
      api: {
        post: async (_path, body) => {
          if (world.line === 'away') return { kind: 'unreachable', why: 'away' }
          if (world.line === 'refused') return { kind: 'said no', status: 423, error: NO }
          told.push(...(body as { looks: Look[] }).looks)
          if (world.line === 'answer lost') return { kind: 'unreachable', why: 'lost' }
          return { kind: 'ok', body: {} as never }
        },
      },
      keep: {
        addLook: async (look) => void disk.push(look),
        looks: async (most) => disk.slice(0, most),
        dropLooks: async (ids) => {
          for (const id of ids)
            disk.splice(
              disk.findIndex((look) => look.id === id),
              1,
            )
        },
      },
      device: 'tablet-1',
      newId: () => `look-${world.count++}`,
      nowMs: () => world.nowMs,
    })
  return { disk, told, world, make }
}

describe('records opened on the tablet', () => {
  it('are told at once, each opening once within a few minutes', async () => {
    const { disk, told, world, make } = tablet()
    const teller = make()
    await teller.looked('p1', 'patient')
    await teller.looked('p1', 'patient')
    await teller.looked('p1', 'visit')
    world.nowMs += 6 * 60_000
    await teller.looked('p1', 'patient')
    expect(told.map(({ patientId, where }) => `${patientId} ${where}`)).toEqual([
      'p1 patient',
      'p1 visit',
      'p1 patient',
    ])
    expect(disk).toEqual([])
  })
  it('wait on the disk without a network, with the time at which they were opened, and outlive the app', async () => {
    const { disk, told, world, make } = tablet()
    world.line = 'away'
    await make().looked('p1', 'patient')
    const openedAt = new Date(world.nowMs).toISOString()
    expect([disk.length, told.length]).toEqual([1, 0])
    world.line = 'open'
    world.nowMs += 3_600_000
    await make().tell()
    expect(told.map(({ at }) => at)).toEqual([openedAt])
    expect(disk).toEqual([])
  })
  it('are told again when the answer was lost: rather twice than never', async () => {
    const { disk, told, world, make } = tablet()
    world.line = 'answer lost'
    const teller = make()
    await teller.looked('p1', 'patient')
    expect(told).toHaveLength(1)
    world.line = 'open'
    await teller.tell()
    expect(told.map(({ id }) => id)).toEqual(['look-0', 'look-0'])
    expect(disk).toEqual([])
  })
  it('are not pressed on a server that will not take them', async () => {
    const { disk, told, world, make } = tablet()
    world.line = 'refused'
    const teller = make()
    await teller.looked('p1', 'visit')
    world.line = 'open'
    await teller.tell()
    expect([told.length, disk.length]).toEqual([0, 1])
    world.nowMs += 20_000
    await teller.tell()
    expect([told.length, disk.length]).toEqual([1, 0])
  })
  it('go in as many parcels as it takes', async () => {
    const { disk, told, world, make } = tablet()
    world.line = 'away'
    const teller = make()
    for (let at = 0; at < 450; at += 1) await teller.looked(`p${at}`, 'visit')
    world.line = 'open'
    await teller.tell()
    expect([told.length, disk.length]).toEqual([450, 0])
  })
})
