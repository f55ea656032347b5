import 'fake-indexeddb/auto'
import { describe, expect, it } from 'vitest'
import { FakeLedger } from '../../../test/support/fake-ledger.ts'
import { Dice } from '../../../test/torture/dice.ts'
import { Chart } from '../../chart/folds/chart.ts'
import { uuidv7 } from '../../chart/ids.ts'
import { type AnyFact, writeFact } from '../../chart/registry.ts'
import { Keep, type Problem } from './keep.ts'
import { Safe } from './safe.ts'
import { failure, SyncEngine, type SyncWorld } from './sync-engine.ts'

let made = 0

/** A tablet whose timers run when the test says so, on a disk of its own. `before`: what happens before it begins. */
async function tablet(server: FakeLedger, before: (personId: string) => void = () => {}) {
  made += 1
  const personId = `p${made}`
  before(personId)
  const keep = new Keep('f', personId, await Safe.ofThisPage())
  const chart = new Chart()
  const refused = new Map<string, readonly Problem[]>()
  let nowMs = 1_800_000_000_000
  let due: (() => void) | null = null
  const world: SyncWorld = {
    api: server.api(),
    keep,
    live: () => () => {},
    device: 'tablet-1',
    nowMs: () => nowMs,
    setTimer: (run) => {
      due = run
    },
    clearTimer: () => {
      due = null
    },
    random: () => 0,
  }
  const engine = new SyncEngine(world, {
    changed: () => {},
    taken: (facts) => void chart.add(facts),
    forgotten: (patientIds) => void chart.forget(patientIds),
    lacking: () => {},
    settled: (results) => {
      for (const each of results) if (each.status === 'refused') refused.set(each.id, each.problems)
    },
  })
  /** Lets everything that is under way come to rest. */
  const rest = async () => {
    do await new Promise((resolve) => setTimeout(resolve, 1))
    while (!engine.isStopped && (engine.state.uploading !== null || engine.state.downloading))
  }
  const { cursor, mark, waiting } = await keep.load()
  engine.tell({ kind: 'started', cursor, mark, waiting })
  await rest()
  return {
    engine,
    refused,
    personId,
    /** The ids of what this tablet holds, in memory; on its disk is the same, or this throws. */
    facts: async () => {
      const ids = [...chart.facts()].map(({ id }) => id).toSorted()
      const kept = (await keep.load()).facts.map(({ id }) => id).toSorted()
      expect(kept).toEqual(ids)
      return ids
    },
    waiting: async () => (await keep.load()).waiting,
    record: async (fact: AnyFact) => {
      await keep.write([fact])
      chart.add([fact])
      engine.tell({ kind: 'recorded', ids: [fact.id] })
      await rest()
    },
    /** Lets a minute pass. */
    minute: async () => {
      nowMs += 61_000
      due?.()
      await rest()
    },
  }
}

function fact(personId: string, patientId: string | null = 'patient-1'): AnyFact {
  made += 1
  const nowMs = () => 1_800_000_000_000 + made
  const newId = () => uuidv7({ nowMs, randomBytes: (length) => new Uint8Array(length).fill(made % 256) })
  const writer = {
    facility: 'f',
    by: { personId, role: 'therapist' as const },
    device: 'd',
    newId,
    nowMs,
  }
  return patientId === null
    ? writeFact(writer, 'item-settled', {}, { item: 'x', how: 'answered', note: 'done' })
    : writeFact(writer, 'patient-back', { patientId }, {})
}

/** A server whose shift concerns the one patient of whom is written here. */
function newServer(): FakeLedger {
  const server = new FakeLedger()
  server.scope.add('patient-1')
  return server
}

describe('a tablet and the ledger become one set of facts', () => {
  it('whatever answers are lost, each fact is stored once and leaves the queue', async () => {
    const server = newServer()
    const dice = new Dice(7)
    server.onAnswer = () => (dice.chance(0.6) ? 'send' : 'lose')
    const [one, two] = [await tablet(server), await tablet(server)]
    const all: string[] = []
    for (let round = 0; round < 60; round += 1) {
      if (round < 10) {
        for (const each of [one, two]) {
          const next = fact(each.personId)
          all.push(next.id)
          await each.record(next)
        }
      }
      await one.minute()
      await two.minute()
    }
    expect(server.entries.map((entry) => entry.fact.id).toSorted()).toEqual(all.toSorted())
    for (const each of [one, two]) {
      expect(await each.facts()).toEqual(all.toSorted())
      expect(await each.waiting()).toEqual([])
      expect(each.engine.state.waiting).toEqual([])
      expect(each.engine.state.cursor).toBe(20)
    }
  })

  it('keeps a refused fact and says why, and the others go through', async () => {
    const server = newServer()
    const one = await tablet(server)
    const [good, bad] = [fact(one.personId), fact(one.personId)]
    server.refuses.add(bad.id)
    await one.record(bad)
    await one.record(good)
    await one.minute()
    expect(server.entries.map((entry) => entry.fact.id)).toEqual([good.id])
    expect(one.refused.get(bad.id)).toEqual([{ where: 'body', what: 'not taken' }])
    expect(await one.facts()).toContain(bad.id)
    expect(one.engine.state.waiting).toEqual([])
  })

  it('brings back to a ledger that went back to an older copy what it had lost, each fact once', async () => {
    const server = newServer()
    const [one, two] = [await tablet(server), await tablet(server)]
    const all: string[] = []
    const write = async (each: typeof one, count: number) => {
      for (let made = 0; made < count; made += 1) {
        const next = fact(each.personId)
        all.push(next.id)
        await each.record(next)
      }
      for (let turn = 0; turn < 8; turn += 1) for (const tablet of [one, two]) await tablet.minute()
    }
    for (const each of [one, two]) await write(each, 4)
    expect(server.entries).toHaveLength(8)
    // Longer than before when the tablets ask again: only the mark tells that it is another line.
    server.bringBack(3)
    const third = await tablet(server)
    for (let made = 0; made < 7; made += 1) {
      const next = fact(third.personId)
      all.push(next.id)
      await third.record(next)
    }
    await third.minute()
    expect(server.entries).toHaveLength(10)
    await write(one, 1)
    for (let turn = 0; turn < 8; turn += 1) await third.minute()
    expect(server.entries.map((entry) => entry.fact.id).toSorted()).toEqual(all.toSorted())
    for (const each of [one, two, third]) {
      expect(await each.facts()).toEqual(all.toSorted())
      expect(each.engine.state).toMatchObject({ waiting: [], cursor: 16 })
    }
    // The newest of the first was sent before it knew, and again with the others.
    expect([one, two, third].map(({ engine }) => engine.state.sentAgain)).toEqual([5, 4, null])
  })

  it('begins anew when the ledger goes back to an older copy between two pages of its first beginning, and sends what it was told of its own', async () => {
    const server = newServer()
    const one = await tablet(server, (personId) => {
      // Written by the same person on another tablet, but for the fourth.
      const all = ['a', 'b', 'c', 'd', 'e'].map((_, at) => fact(at === 3 ? 'other' : personId, null))
      for (const each of all) server.store(each)
      let questions = 0
      server.onQuestion = (path) => {
        questions += path === '/api/pull' ? 1 : 0
        if (questions !== 2) return
        // Two of the three that it was told are lost, and others are in their place.
        server.bringBack(1)
        for (let made = 0; made < 4; made += 1) server.store(fact('other', null))
        questions += 1
      }
    })
    for (let turn = 0; turn < 8; turn += 1) await one.minute()
    expect(server.entries).toHaveLength(7)
    expect(await one.facts()).toEqual(server.concerning().toSorted())
    expect(one.engine.state).toMatchObject({ waiting: [], cursor: 7, sentAgain: 3 })
  })

  it('does nothing more once it is stopped', async () => {
    const server = newServer()
    const one = await tablet(server)
    one.engine.stop()
    await one.record(fact(one.personId))
    await one.minute()
    expect(server.entries).toEqual([])
    expect(await one.waiting()).toHaveLength(1)
  })
})

describe('what a reply means for the queue', () => {
  const error = {
    code: 'x',
    what: 'why',
    kept: '',
    todo: '',
    fields: [{ where: 'facts.0.body', what: 'no' }],
  }
  it.each([
    [401, { kind: 'signed out' }],
    [423, { kind: 'locked' }],
    [400, { kind: 'unusable', problem: { where: 'facts.0.body', what: 'why' } }],
    [413, { kind: 'unusable', problem: { where: 'facts.0.body', what: 'why' } }],
    [403, { kind: 'unreachable', retryAfterMs: undefined }],
    [503, { kind: 'unreachable', retryAfterMs: undefined }],
  ])('%i', (status, meant) => {
    expect(failure({ kind: 'said no', status, error })).toEqual(meant)
  })

  it('409: only another line of the ledger begins anew', () => {
    const other = { ...error, code: 'another-line' }
    expect(failure({ kind: 'said no', status: 409, error: other })).toEqual({ kind: 'another line' })
    expect(failure({ kind: 'said no', status: 409, error })).toMatchObject({ kind: 'unreachable' })
  })

  it('waits as long as it is told', () => {
    expect(failure({ kind: 'said no', status: 429, error, retryAfterMs: 7000 })).toEqual({
      kind: 'unreachable',
      retryAfterMs: 7000,
    })
  })
})
