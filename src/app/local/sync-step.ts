/**
 * What the tablet does next to make its facts and the ledger one set: a pure step from what was and what
 * happened to what is and what to do. Who does it, and with what clock and network, is `sync-engine.ts`.
 */
export type SyncState = {
  /** Every entry of the ledger up to here has been taken over. */
  readonly cursor: number
  /** The hash of the entry at the cursor, by which the ledger is known again; null when it was not told. */
  readonly mark: string | null
  /** How many entries were sent again since the ledger was found brought back from an older copy; null when never. */
  readonly sentAgain: number | null
  /** The highest sequence heard of. */
  readonly ledgerLast: number
  /** Facts written here that the server has not answered for, oldest first. */
  readonly waiting: readonly string[]
  readonly uploading: readonly string[] | null
  readonly downloading: boolean
  readonly wantsDownload: boolean
  readonly batchSize: number
  readonly live: 'closed' | 'opening' | 'open'
  readonly liveNotBeforeMs: number
  /** Whether the server lets this session in. A locked one may still send, but is shown nothing new. */
  readonly door: 'open' | 'locked' | 'signed out'
  readonly failures: number
  readonly notBeforeMs: number
  readonly pollAtMs: number
  /** When the server last answered; null before the first answer. */
  readonly heardAtMs: number | null
}

export type SyncEvent =
  | {
      readonly kind: 'started'
      readonly cursor: number
      readonly mark: string | null
      readonly waiting: readonly string[]
    }
  | { readonly kind: 'recorded'; readonly ids: readonly string[] }
  /** The server answered for these, and the tablet has noted it: stored, known before, or refused. */
  | { readonly kind: 'answered'; readonly ids: readonly string[] }
  | {
      readonly kind: 'downloaded'
      readonly cursor: number
      readonly mark: string | null
      readonly last: number
      readonly more: boolean
      /** It was begun from nothing: the cursor may be further back than it was. */
      readonly isAnew?: boolean
    }
  /** Everything is to be taken anew, and these facts of this person, sent before, wait again. */
  | { readonly kind: 'began anew'; readonly ids: readonly string[] }
  | { readonly kind: 'failed'; readonly what: 'upload' | 'download'; readonly how: Failure }
  | { readonly kind: 'live opened' }
  | { readonly kind: 'live says'; readonly last: number }
  | { readonly kind: 'live lost' }
  /** The tablet was woken, or its network came back: what was open may be dead. */
  | { readonly kind: 'woke' }
  | { readonly kind: 'let in' }
  | { readonly kind: 'time' }

/**
 * `unusable`: the batch as a whole was refused, so that it is not known which fact was at fault. `another line`: the ledger
 * is not the one that the cursor counts in; it was brought back from an older copy.
 */
export type Failure =
  | { readonly kind: 'unreachable'; readonly retryAfterMs?: number | undefined }
  | { readonly kind: 'locked' }
  | { readonly kind: 'signed out' }
  | { readonly kind: 'another line' }
  | { readonly kind: 'unusable'; readonly problem: { readonly where: string; readonly what: string } }

export type SyncEffect =
  | { readonly kind: 'upload'; readonly ids: readonly string[] }
  | { readonly kind: 'download'; readonly after: number; readonly mark: string | null }
  | { readonly kind: 'begin anew' }
  | {
      readonly kind: 'refuse'
      readonly id: string
      readonly problem: { readonly where: string; readonly what: string }
    }
  | { readonly kind: 'open live' }
  | { readonly kind: 'close live' }
  | { readonly kind: 'wake'; readonly atMs: number }

// All of these are rules of this program; the upload limit of 500 a request is the server's.
export const BATCH_SIZE = 200
export const POLL_MS = 15_000
export const POLL_WHILE_LIVE_MS = 60_000
export const LIVE_RETRY_MS = 10_000
const FIRST_RETRY_MS = 1000
const LONGEST_RETRY_MS = 60_000

export const NOT_STARTED: SyncState = {
  cursor: 0,
  mark: null,
  sentAgain: null,
  ledgerLast: 0,
  waiting: [],
  uploading: null,
  downloading: false,
  wantsDownload: false,
  batchSize: BATCH_SIZE,
  live: 'closed',
  liveNotBeforeMs: 0,
  door: 'open',
  failures: 0,
  notBeforeMs: 0,
  pollAtMs: 0,
  heardAtMs: null,
}

/** How long to wait after so many failures in a row [ms]: 1 s, doubled each time, at most a minute. */
export function backoffMs(failures: number): number {
  return Math.min(LONGEST_RETRY_MS, FIRST_RETRY_MS * 2 ** Math.max(0, failures - 1))
}

/** The next state and what to do now. `nowMs` is the tablet's clock. */
export function syncStep(
  before: SyncState,
  event: SyncEvent,
  nowMs: number,
): { readonly state: SyncState; readonly effects: readonly SyncEffect[] } {
  const [state, first] = after(before, event, nowMs)
  const [planned, effects] = plan(state, nowMs)
  return { state: planned, effects: [...first, ...effects] }
}

function after(state: SyncState, event: SyncEvent, nowMs: number): [SyncState, SyncEffect[]] {
  switch (event.kind) {
    case 'started':
      return [
        { ...state, cursor: event.cursor, mark: event.mark, waiting: event.waiting, wantsDownload: true },
        [],
      ]
    case 'recorded':
      return [{ ...state, waiting: joined(state.waiting, event.ids) }, []]
    case 'answered':
      return [answered(state, event.ids, nowMs), []]
    case 'downloaded':
      return [downloaded(state, event, nowMs), []]
    case 'began anew':
      return [begunAnew(state, event.ids), []]
    case 'failed':
      return failed(state, event.what, event.how, nowMs)
    case 'live opened':
      return [{ ...heard(state, nowMs), live: 'open', wantsDownload: true }, []]
    case 'live says':
      return [liveSays(state, event.last, nowMs), []]
    case 'live lost':
      return [
        {
          ...state,
          live: 'closed',
          liveNotBeforeMs: nowMs + LIVE_RETRY_MS,
          // Never later than planned: a line that is lost anew at each try must not put off the asking for ever.
          pollAtMs: Math.min(state.pollAtMs, nowMs + POLL_MS),
        },
        [],
      ]
    case 'woke':
      return [
        { ...state, live: 'closed', liveNotBeforeMs: 0, failures: 0, notBeforeMs: 0, wantsDownload: true },
        state.live === 'closed' ? [] : [{ kind: 'close live' }],
      ]
    case 'let in':
      return [{ ...state, door: 'open', failures: 0, notBeforeMs: 0, wantsDownload: true }, []]
    case 'time':
      return [state, []]
  }
}

function heard(state: SyncState, nowMs: number): SyncState {
  return { ...state, heardAtMs: nowMs, failures: 0, notBeforeMs: 0 }
}

function answered(state: SyncState, ids: readonly string[], nowMs: number): SyncState {
  const done = new Set(ids)
  const waiting = state.waiting.filter((id) => !done.has(id))
  const idle = { ...state, waiting, uploading: null }
  // An answer that settles nothing must not be asked for again at once, for ever.
  if (waiting.length === state.waiting.length && waiting.length > 0) return delayed(idle, nowMs)
  return { ...heard(idle, nowMs), batchSize: BATCH_SIZE }
}

function downloaded(
  state: SyncState,
  { cursor, mark, last, more, isAnew = false }: Extract<SyncEvent, { kind: 'downloaded' }>,
  nowMs: number,
): SyncState {
  const ledgerLast = Math.max(state.ledgerLast, last, cursor)
  const stuck = more && cursor <= state.cursor
  const next = {
    ...heard(state, nowMs),
    downloading: false,
    cursor: isAnew ? cursor : Math.max(state.cursor, cursor),
    mark: cursor < state.cursor && !isAnew ? state.mark : mark,
    ledgerLast,
  }
  return stuck
    ? delayed(next, nowMs)
    : { ...next, wantsDownload: more || state.wantsDownload, pollAtMs: nowMs + pollGap(state) }
}

/** Nothing that was heard of the ledger before holds of this one. */
function begunAnew(state: SyncState, ids: readonly string[]): SyncState {
  return {
    ...state,
    cursor: 0,
    mark: null,
    ledgerLast: 0,
    downloading: false,
    wantsDownload: true,
    waiting: joined(state.waiting, ids),
    sentAgain: (state.sentAgain ?? 0) + ids.length,
  }
}

function liveSays(state: SyncState, last: number, nowMs: number): SyncState {
  const ledgerLast = Math.max(state.ledgerLast, last)
  return { ...heard(state, nowMs), ledgerLast, wantsDownload: state.wantsDownload || last > state.cursor }
}

function failed(
  state: SyncState,
  what: 'upload' | 'download',
  how: Failure,
  nowMs: number,
): [SyncState, SyncEffect[]] {
  const idle =
    what === 'upload' ? { ...state, uploading: null } : { ...state, downloading: false, wantsDownload: true }
  switch (how.kind) {
    case 'unreachable':
      return [delayed(idle, nowMs, how.retryAfterMs), []]
    case 'locked':
      return [
        what === 'upload' ? delayed({ ...idle, door: 'locked' }, nowMs) : { ...idle, door: 'locked' },
        [],
      ]
    case 'signed out':
      return [
        { ...idle, door: how.kind, live: 'closed' },
        state.live === 'closed' ? [] : [{ kind: 'close live' }],
      ]
    case 'another line':
      // It stays a download under way until the tablet has begun anew.
      return [{ ...idle, downloading: true }, [{ kind: 'begin anew' }]]
    case 'unusable':
      return what === 'upload'
        ? narrowed(idle, state.uploading ?? [], how.problem)
        : [delayed(idle, nowMs), []]
  }
}

/** Halves the batch until the fact at fault stands alone; that one is refused, and the others go on. */
function narrowed(
  state: SyncState,
  batch: readonly string[],
  problem: { readonly where: string; readonly what: string },
): [SyncState, SyncEffect[]] {
  const [only] = batch
  if (batch.length > 1 || only === undefined) {
    return [{ ...state, batchSize: Math.max(1, Math.floor(batch.length / 2)) }, []]
  }
  return [
    { ...state, waiting: state.waiting.filter((id) => id !== only), batchSize: BATCH_SIZE },
    [{ kind: 'refuse', id: only, problem }],
  ]
}

function delayed(state: SyncState, nowMs: number, retryAfterMs?: number): SyncState {
  const failures = state.failures + 1
  return { ...state, failures, notBeforeMs: nowMs + Math.max(backoffMs(failures), retryAfterMs ?? 0) }
}

/** What may be begun now, and when to look again. */
function plan(state: SyncState, nowMs: number): [SyncState, SyncEffect[]] {
  if (state.door === 'signed out') return [state, []]
  if (nowMs < state.notBeforeMs) return [state, [{ kind: 'wake', atMs: state.notBeforeMs }]]
  const effects: SyncEffect[] = []
  // Whatever happened, a poll that is due is not passed over.
  const isDue = state.pollAtMs <= nowMs
  let next = isDue ? { ...state, wantsDownload: true, pollAtMs: nowMs + pollGap(state) } : state
  if (next.uploading === null && next.waiting.length > 0) {
    const ids = next.waiting.slice(0, next.batchSize)
    next = { ...next, uploading: ids }
    effects.push({ kind: 'upload', ids })
  }
  if (next.wantsDownload && !next.downloading && next.door === 'open') {
    next = { ...next, downloading: true, wantsDownload: false }
    effects.push({ kind: 'download', after: next.cursor, mark: next.mark })
  }
  if (next.live === 'closed' && nowMs >= next.liveNotBeforeMs) {
    next = { ...next, live: 'opening' }
    effects.push({ kind: 'open live' })
  }
  const atMs = next.live === 'closed' ? Math.min(next.pollAtMs, next.liveNotBeforeMs) : next.pollAtMs
  effects.push({ kind: 'wake', atMs })
  return [next, effects]
}

function pollGap(state: SyncState): number {
  return state.live === 'open' ? POLL_WHILE_LIVE_MS : POLL_MS
}

function joined(waiting: readonly string[], ids: readonly string[]): readonly string[] {
  const known = new Set(waiting)
  return [...waiting, ...ids.filter((id) => !known.has(id))]
}
