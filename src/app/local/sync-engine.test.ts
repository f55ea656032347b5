import { describe, expect, it } from 'vitest'
import type { Download, UploadAnswer } from '../../api/schemas.ts'
import type { FactEnvelope } from '../../chart/fact.ts'
import { uuidv7 } from '../../chart/ids.ts'
import { type AnyFact, writeFact } from '../../chart/registry.ts'
import type { Api, Reply } from './api.ts'
import type { Problem } from './keep.ts'
import { failure, SyncEngine, type SyncWorld } from './sync-engine.ts'

/** A ledger that anybody may write to, with the same promises as the real one. */
class FakeServer {
  readonly entries: Download['entries'] = []
  /** Which life of the ledger this is: a return to an older copy begins another. */
  #life = 0
  readonly #marks: string[] = []
  refuses = new Set<string>()
  /** Called before each answer goes out; may throw away the answer after the work was done. */
  onAnswer: () => 'send' | 'lose' = () => 'send'

  api(): Api {
    return {
      get: async (path) => {
        const asked = new URLSearchParams(path.split('?')[1])
        const after = Number(asked.get('after'))
        const known = after === 0 ? null : (this.#marks[after - 1] ?? null)
        if (asked.get('mark') !== known) {
          const error = { code: 'another-line', what: '', kept: '', todo: '' }
          return { kind: 'said no', status: 409, error }
        }
        const page = this.entries.filter(({ sequence }) => sequence > after).slice(0, 3)
        const last = this.entries.length
        const upTo = page.at(-1)?.sequence
        const mark = upTo === undefined ? known : this.#marks[upTo - 1]
        return this.#answer({ entries: page, last, more: (upTo ?? last) < last, mark })
      },
      post: async (_path, body) => {
        const { facts } = body as { facts: FactEnvelope[] }
        return this.#answer({ serverNow: at(0), results: facts.map((fact) => this.#store(fact)) })
      },
    }
  }

  /** Goes back to an older copy of itself. */
  bringBack(length: number): void {
    this.entries.length = length
    this.#marks.length = length
    this.#life += 1
  }

  #answer(body: unknown): Reply<never> {
    return this.onAnswer() === 'lose'
      ? { kind: 'unreachable', why: 'lost on the way' }
      : { kind: 'ok', body: structuredClone(body) as never }
  }

  #store(fact: FactEnvelope): UploadAnswer['results'][number] {
    if (this.refuses.has(fact.id)) {
      return { id: fact.id, status: 'refused', problems: [{ where: 'body', what: 'not taken' }] }
    }
    const known = this.entries.find((entry) => entry.fact.id === fact.id)
    if (known) return { id: fact.id, status: 'known', sequence: known.sequence }
    const sequence = this.entries.length + 1
    this.entries.push({ sequence, receivedAt: at(0), deviceAheadMs: null, fact })
    this.#marks.push(`${this.#life}.${sequence}`)
    return { id: fact.id, status: 'stored', sequence }
  }
}

/** A tablet whose disk is a map and whose timers run when the test says so. */
function tablet(server: FakeServer) {
  const facts = new Map<string, unknown>()
  const outbox = new Set<string>()
  const own = new Set<string>()
  const refused = new Map<string, Problem[]>()
  let nowMs = 1_800_000_000_000
  let due: (() => void) | null = null
  const world: SyncWorld = {
    api: server.api(),
    keep: {
      waiting: async (ids) => ids.filter((id) => outbox.has(id)).map((id) => facts.get(id)),
      settle: async (results) => {
        for (const result of results) {
          outbox.delete(result.id)
          if (result.status === 'refused') refused.set(result.id, result.problems)
        }
      },
      take: async (entries) => {
        for (const { fact } of entries) {
          facts.set(fact.id, fact)
          outbox.delete(fact.id)
        }
        return { facts: [], aheadMs: new Map(), unreadable: 0 }
      },
      beginAnew: async () => {
        const again = [...own].filter((id) => !outbox.has(id))
        for (const id of again) outbox.add(id)
        return again
      },
    },
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
  const engine = new SyncEngine(world, { changed: () => {}, taken: () => {}, settled: () => {} })
  return {
    engine,
    facts,
    outbox,
    refused,
    record: (fact: AnyFact) => {
      facts.set(fact.id, fact)
      outbox.add(fact.id)
      own.add(fact.id)
      engine.tell({ kind: 'recorded', ids: [fact.id] })
    },
    /** Lets everything that is under way come to rest, then lets a minute pass. */
    minute: async () => {
      for (let turn = 0; turn < 60; turn += 1) await Promise.resolve()
      nowMs += 61_000
      due?.()
      for (let turn = 0; turn < 60; turn += 1) await Promise.resolve()
    },
  }
}

const at = (seconds: number) => new Date(1_800_000_000_000 + seconds * 1000).toISOString()

let made = 0
function fact(): AnyFact {
  made += 1
  const nowMs = () => 1_800_000_000_000 + made
  const newId = () => uuidv7({ nowMs, randomBytes: (length) => new Uint8Array(length).fill(made % 256) })
  const writer = {
    facility: 'f',
    by: { personId: 'p', role: 'therapist' as const },
    device: 'd',
    newId,
    nowMs,
  }
  return writeFact(writer, 'patient-back', { patientId: 'patient-1' }, {})
}

describe('a tablet and the ledger become one set of facts', () => {
  it('whatever answers are lost, each fact is stored once and leaves the queue', async () => {
    const server = new FakeServer()
    let turn = 0
    server.onAnswer = () => {
      turn += 1
      return turn % 3 === 0 ? 'send' : 'lose'
    }
    const [one, two] = [tablet(server), tablet(server)]
    for (const each of [one, two]) each.engine.tell({ kind: 'started', cursor: 0, mark: null, waiting: [] })
    const all: string[] = []
    for (let round = 0; round < 40; round += 1) {
      if (round < 10) {
        for (const each of [one, two]) {
          const next = fact()
          all.push(next.id)
          each.record(next)
        }
      }
      await one.minute()
      await two.minute()
    }
    expect(server.entries.map((entry) => entry.fact.id).toSorted()).toEqual(all.toSorted())
    for (const each of [one, two]) {
      expect([...each.facts.keys()].toSorted()).toEqual(all.toSorted())
      expect([...each.outbox]).toEqual([])
      expect(each.engine.state.waiting).toEqual([])
      expect(each.engine.state.cursor).toBe(20)
    }
  })

  it('keeps a refused fact and says why, and the others go through', async () => {
    const server = new FakeServer()
    const one = tablet(server)
    one.engine.tell({ kind: 'started', cursor: 0, mark: null, waiting: [] })
    const [good, bad] = [fact(), fact()]
    server.refuses.add(bad.id)
    one.record(bad)
    one.record(good)
    await one.minute()
    expect(server.entries.map((entry) => entry.fact.id)).toEqual([good.id])
    expect(one.refused.get(bad.id)).toEqual([{ where: 'body', what: 'not taken' }])
    expect(one.facts.has(bad.id)).toBe(true)
    expect(one.engine.state.waiting).toEqual([])
  })

  it('brings back to a ledger that went back to an older copy what it had lost, each fact once', async () => {
    const server = new FakeServer()
    const [one, two] = [tablet(server), tablet(server)]
    for (const each of [one, two]) each.engine.tell({ kind: 'started', cursor: 0, mark: null, waiting: [] })
    const all: string[] = []
    const write = async (each: typeof one, count: number) => {
      for (let made = 0; made < count; made += 1) {
        const next = fact()
        all.push(next.id)
        each.record(next)
      }
      for (let turn = 0; turn < 5; turn += 1) for (const tablet of [one, two]) await tablet.minute()
    }
    for (const each of [one, two]) await write(each, 4)
    expect(server.entries).toHaveLength(8)
    // Longer than before when the tablets ask again: only the mark tells that it is another line.
    server.bringBack(3)
    const third = tablet(server)
    third.engine.tell({ kind: 'started', cursor: 0, mark: null, waiting: [] })
    for (let made = 0; made < 7; made += 1) {
      const next = fact()
      all.push(next.id)
      third.record(next)
    }
    await third.minute()
    expect(server.entries).toHaveLength(10)
    await write(one, 1)
    for (let turn = 0; turn < 5; turn += 1) await third.minute()
    expect(server.entries.map((entry) => entry.fact.id).toSorted()).toEqual(all.toSorted())
    for (const each of [one, two, third]) {
      expect([...each.facts.keys()].toSorted()).toEqual(all.toSorted())
      expect(each.engine.state).toMatchObject({ waiting: [], cursor: 16 })
    }
    // The newest of the first was sent before it knew, and again with the others.
    expect([one, two, third].map(({ engine }) => engine.state.sentAgain)).toEqual([5, 4, null])
  })

  it('does nothing more once it is stopped', async () => {
    const server = new FakeServer()
    const one = tablet(server)
    one.engine.tell({ kind: 'started', cursor: 0, mark: null, waiting: [] })
    one.engine.stop()
    one.record(fact())
    await one.minute()
    expect(server.entries).toEqual([])
    expect(one.outbox.size).toBe(1)
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
