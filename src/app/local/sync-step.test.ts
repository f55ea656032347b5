import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  BATCH_SIZE,
  backoffMs,
  LIVE_RETRY_MS,
  NOT_STARTED,
  POLL_MS,
  type SyncEffect,
  type SyncEvent,
  type SyncState,
  syncStep,
} from './sync-step.ts'

const T = 1_000_000

/** Runs events at given times and gives the last state and its effects. */
function run(events: readonly (SyncEvent | readonly [number, SyncEvent])[], from: SyncState = NOT_STARTED) {
  let state = from
  let effects: readonly SyncEffect[] = []
  for (const given of events) {
    const [nowMs, event] = 'kind' in given ? ([T, given] as const) : given
    ;({ state, effects } = syncStep(state, event, nowMs))
  }
  return { state, effects, kinds: effects.map(({ kind }) => kind) }
}

/** The hash of an entry, as far as these tests need one. */
const markAt = (cursor: number) => String(cursor).padStart(64, '0')
const started = (waiting: string[] = [], cursor = 0): SyncEvent => ({
  kind: 'started',
  cursor,
  mark: cursor === 0 ? null : markAt(cursor),
  waiting,
})
const upload = (effects: readonly SyncEffect[]) => effects.find((effect) => effect.kind === 'upload')
const down = (how: 'upload' | 'download' = 'upload'): SyncEvent => ({
  kind: 'failed',
  what: how,
  how: { kind: 'unreachable' },
})

describe('what is sent and asked for', () => {
  it('at the start sends what waited, takes over what is new, and listens', () => {
    const { effects } = run([started(['a', 'b'], 7)])
    expect(effects).toEqual([
      { kind: 'upload', ids: ['a', 'b'] },
      { kind: 'download', after: 7, mark: markAt(7) },
      { kind: 'open live' },
      { kind: 'wake', atMs: T + POLL_MS },
    ])
  })

  it('sends a new fact at once, but one batch at a time', () => {
    const first = run([started(), { kind: 'recorded', ids: ['a'] }])
    expect(upload(first.effects)).toEqual({ kind: 'upload', ids: ['a'] })
    const second = run([{ kind: 'recorded', ids: ['b', 'c'] }], first.state)
    expect(upload(second.effects)).toBeUndefined()
    const third = run([{ kind: 'answered', ids: ['a'] }], second.state)
    expect(upload(third.effects)).toEqual({ kind: 'upload', ids: ['b', 'c'] })
  })

  it('keeps batches to their size and the order of writing', () => {
    const ids = Array.from({ length: BATCH_SIZE + 3 }, (_, index) => `f${index}`)
    const first = run([started(ids)])
    expect(upload(first.effects)).toEqual({ kind: 'upload', ids: ids.slice(0, BATCH_SIZE) })
    const second = run([{ kind: 'answered', ids: ids.slice(0, BATCH_SIZE) }], first.state)
    expect(upload(second.effects)).toEqual({ kind: 'upload', ids: ids.slice(BATCH_SIZE) })
  })

  it('does not send a fact twice for being recorded twice', () => {
    expect(run([started(['a']), { kind: 'recorded', ids: ['a'] }]).state.waiting).toEqual(['a'])
  })

  it('keeps what an answer left out, and waits before it sends that again', () => {
    const partly = run([started(['a', 'b']), { kind: 'answered', ids: ['a'] }])
    expect(upload(partly.effects)).toEqual({ kind: 'upload', ids: ['b'] })
    const empty = run([{ kind: 'answered', ids: [] }], partly.state)
    expect(empty.state.waiting).toEqual(['b'])
    expect(empty.kinds).toEqual(['wake'])
  })
})

describe('the cursor', () => {
  const downloaded = (cursor: number, more = false): SyncEvent => ({
    kind: 'downloaded',
    cursor,
    mark: markAt(cursor),
    last: cursor,
    more,
  })

  it('goes on from where it is while there is more', () => {
    const { effects, state } = run([started(), downloaded(2000, true)])
    expect(effects).toContainEqual({ kind: 'download', after: 2000, mark: markAt(2000) })
    expect(run([downloaded(2400)], state).state).toMatchObject({ cursor: 2400, downloading: false })
  })

  it('never goes back, and does not spin on a page that brings nothing', () => {
    const { state } = run([started([], 50), downloaded(50)])
    const stuck = run(
      [
        { kind: 'live says', last: 60 },
        { kind: 'downloaded', cursor: 40, mark: markAt(40), last: 60, more: true },
      ],
      state,
    )
    expect(stuck.state).toMatchObject({ cursor: 50, mark: markAt(50) })
    expect(stuck.kinds).toEqual(['wake'])
  })

  it('is moved by what the live line says, not when that is known already', () => {
    const { state } = run([started([], 5), downloaded(5)])
    expect(run([{ kind: 'live says', last: 5 }], state).kinds).not.toContain('download')
    expect(run([{ kind: 'live says', last: 6 }], state).effects).toContainEqual({
      kind: 'download',
      after: 5,
      mark: markAt(5),
    })
  })

  it('asks once more when the ledger grew while a page was under way', () => {
    const { state } = run([started([], 5), { kind: 'live says', last: 9 }])
    expect(run([downloaded(8)], state).effects).toContainEqual({
      kind: 'download',
      after: 8,
      mark: markAt(8),
    })
  })
})

describe('a ledger brought back from an older copy', () => {
  const anotherLine: SyncEvent = { kind: 'failed', what: 'download', how: { kind: 'another line' } }
  const anew = (ids: string[]): SyncEvent => ({ kind: 'began anew', ids })

  it('is taken from its beginning, and what was sent before waits again, behind what waits', () => {
    const { state, kinds } = run([started(['z'], 150), { kind: 'live says', last: 160 }, anotherLine])
    expect(kinds).toEqual(['begin anew', 'wake'])
    const { state: after, effects } = run([anew(['a', 'z'])], state)
    expect(effects).toContainEqual({ kind: 'download', after: 0, mark: null })
    expect(after).toMatchObject({ cursor: 0, ledgerLast: 0, waiting: ['z', 'a'], sentAgain: 2 })
    expect(run([anew(['b'])], after).state.sentAgain).toBe(3)
  })

  it('is not asked again before the tablet has begun anew', () => {
    const { state } = run([started([], 150), anotherLine])
    for (const event of [
      { kind: 'let in' },
      { kind: 'live says', last: 999 },
      { kind: 'live opened' },
    ] as const)
      expect(run([event], state).kinds).not.toContain('download')
    expect(run([down('download')], state).state.downloading).toBe(false)
  })
})

describe('when the server cannot be reached', () => {
  it('waits longer each time, up to a minute', () => {
    expect([1, 2, 3, 6, 7, 40].map(backoffMs)).toEqual([1000, 2000, 4000, 32_000, 60_000, 60_000])
  })

  it('keeps everything, tries again when the time has come, and not before', () => {
    const { state, kinds } = run([started(['a']), down()])
    expect(kinds).toEqual(['wake'])
    expect(run([[T + 999, { kind: 'time' }]], state).kinds).toEqual(['wake'])
    expect(upload(run([[T + 1000, { kind: 'time' }]], state).effects)).toEqual({ kind: 'upload', ids: ['a'] })
  })

  it('waits as long as the server asks', () => {
    const slow: SyncEvent = {
      kind: 'failed',
      what: 'upload',
      how: { kind: 'unreachable', retryAfterMs: 30_000 },
    }
    expect(run([started(['a']), slow]).effects).toEqual([{ kind: 'wake', atMs: T + 30_000 }])
  })

  it('tries at once when the tablet wakes, with a new live line', () => {
    const { state } = run([started(['a']), { kind: 'live opened' }, down(), down('download')])
    const woken = run([{ kind: 'woke' }], state)
    expect(woken.kinds).toEqual(['close live', 'upload', 'download', 'open live', 'wake'])
    expect(woken.state.failures).toBe(0)
  })

  it('asks again in time even when the live line is lost anew at every try', () => {
    const page: SyncEvent = { kind: 'downloaded', cursor: 0, mark: null, last: 0, more: false }
    let { state } = run([started(), page, { kind: 'live opened' }, page])
    let asked = 0
    for (let at = T; at <= T + 2 * POLL_MS; at += LIVE_RETRY_MS / 2) {
      const lost = run([[at, { kind: 'live lost' }]], state)
      state = lost.state
      if (!lost.kinds.includes('download')) continue
      asked += 1
      ;({ state } = run([[at, page]], state))
    }
    expect(asked).toBe(2)
  })

  it('polls and opens the live line again after it was lost', () => {
    const { state } = run([
      started(),
      { kind: 'downloaded', cursor: 0, mark: null, last: 0, more: false },
      { kind: 'live lost' },
    ])
    expect(run([[T + LIVE_RETRY_MS - 1, { kind: 'time' }]], state).kinds).toEqual(['wake'])
    expect(run([[T + LIVE_RETRY_MS, { kind: 'time' }]], state).kinds).toContain('open live')
    expect(run([[T + POLL_MS, { kind: 'time' }]], state).kinds).toContain('download')
  })
})

describe('when the server says no', () => {
  const no = (what: 'upload' | 'download', kind: 'locked' | 'signed out'): SyncEvent => ({
    kind: 'failed',
    what,
    how: { kind },
  })
  const page: SyncEvent = { kind: 'downloaded', cursor: 0, mark: null, last: 0, more: false }

  it('signed out: keeps all, does nothing until let in', () => {
    const { state, kinds } = run([started(['a']), { kind: 'live opened' }, no('upload', 'signed out')])
    expect(kinds).toEqual(['close live'])
    expect(state).toMatchObject({ waiting: ['a'], door: 'signed out' })
    expect(run([{ kind: 'recorded', ids: ['b'] }], state).kinds).toEqual([])
    const back = run([page, { kind: 'let in' }], state)
    expect(upload(back.effects)).toEqual({ kind: 'upload', ids: ['a'] })
  })

  it('locked: goes on sending, takes nothing over until let in', () => {
    const { state } = run([started([], 3), { kind: 'live opened' }, no('download', 'locked')])
    expect(state.door).toBe('locked')
    const more = run(
      [
        { kind: 'recorded', ids: ['b'] },
        { kind: 'live says', last: 9 },
      ],
      state,
    )
    expect(more.state.uploading).toEqual(['b'])
    expect(more.state.downloading).toBe(false)
    expect(run([{ kind: 'let in' }], more.state).effects).toContainEqual({
      kind: 'download',
      after: 3,
      mark: markAt(3),
    })
  })

  it('locked for sending too: waits longer each time and loses nothing', () => {
    const { state, kinds } = run([started(['a']), no('upload', 'locked')])
    expect(kinds).toEqual(['wake'])
    expect(upload(run([[T + 1000, { kind: 'time' }]], state).effects)).toEqual({ kind: 'upload', ids: ['a'] })
  })

  it('finds the one fact that makes a batch unusable, refuses it, and sends all others', () => {
    const ids = Array.from({ length: 37 }, (_, index) => `f${index}`)
    for (const bad of ['f0', 'f18', 'f36']) {
      const { sent, refused, state } = serve(ids, bad)
      expect(refused).toEqual([bad])
      expect(sent.toSorted()).toEqual(ids.filter((id) => id !== bad).toSorted())
      expect(state.waiting).toEqual([])
    }
  })
})

/** A server that refuses any batch with `bad` in it, whole. */
function serve(ids: string[], bad: string) {
  const sent: string[] = []
  const refused: string[] = []
  let { state, effects } = syncStep(NOT_STARTED, started(ids), T)
  for (let turn = 0; turn < 200; turn += 1) {
    for (const effect of effects) if (effect.kind === 'refuse') refused.push(effect.id)
    const batch = effects.find((effect) => effect.kind === 'upload')?.ids
    if (!batch) break
    if (!batch.includes(bad)) sent.push(...batch)
    const event: SyncEvent = batch.includes(bad)
      ? { kind: 'failed', what: 'upload', how: { kind: 'unusable', problem: { where: 'body', what: 'no' } } }
      : { kind: 'answered', ids: batch }
    ;({ state, effects } = syncStep(state, event, T))
  }
  return { sent, refused, state }
}

it('loses no fact, whatever happens in whatever order', () => {
  const ids = fc.constantFrom('a', 'b', 'c', 'd')
  const event: fc.Arbitrary<SyncEvent> = fc.oneof(
    ids.map((id): SyncEvent => ({ kind: 'recorded', ids: [id] })),
    fc.constantFrom<SyncEvent>(
      down(),
      down('download'),
      { kind: 'live opened' },
      { kind: 'live lost' },
      { kind: 'woke' },
      { kind: 'let in' },
      { kind: 'time' },
      { kind: 'failed', what: 'upload', how: { kind: 'locked' } },
      { kind: 'failed', what: 'download', how: { kind: 'another line' } },
      { kind: 'began anew', ids: [] },
    ),
    fc.nat(99).map((last): SyncEvent => ({ kind: 'live says', last })),
    fc.constantFrom<SyncEvent>({ kind: 'answered', ids: [] }),
  )
  fc.assert(
    fc.property(fc.array(fc.tuple(fc.nat(5000), event), { maxLength: 60 }), (events) => {
      let nowMs = T
      let state = syncStep(NOT_STARTED, started(['z']), nowMs).state
      const answeredFor = new Set<string>()
      const recorded = new Set(['z'])
      for (const [gap, given] of events) {
        nowMs += gap
        // The answer is for what is under way, as a server's is.
        const next = given.kind === 'answered' ? { ...given, ids: state.uploading ?? [] } : given
        if (next.kind === 'answered') for (const id of next.ids) answeredFor.add(id)
        if (next.kind === 'recorded') for (const id of next.ids) if (!answeredFor.has(id)) recorded.add(id)
        if (next.kind === 'recorded' && next.ids.some((id) => answeredFor.has(id))) continue
        state = syncStep(state, next, nowMs).state
      }
      expect([...recorded].filter((id) => !answeredFor.has(id)).toSorted()).toEqual(
        [...state.waiting].toSorted(),
      )
    }),
  )
})
