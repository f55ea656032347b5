import type { AnyFact } from '../registry.ts'

/**
 * A treatment's running time, from facts alone: a reload, a sleeping tablet or a flat battery changes nothing.
 */
export type Run = {
  readonly startedAt: string | null
  readonly pauses: readonly { readonly from: string; readonly to: string | null; readonly reason: string }[]
  readonly endedAt: string | null
}

/** Start, pauses and end out of the facts of a visit, which come in order of time. */
export function foldRun(facts: readonly AnyFact[]): Run {
  let run: Run = { startedAt: null, pauses: [], endedAt: null }
  for (const fact of facts) run = step(run, fact)
  return run
}

function step(run: Run, fact: AnyFact): Run {
  switch (fact.kind) {
    case 'treatment-started':
      return run.startedAt === null ? { ...run, startedAt: fact.happenedAt } : run
    case 'treatment-paused':
      return isPaused(run) ? run : paused(run, fact.happenedAt, fact.body.reason)
    case 'treatment-goes-on':
      return resumed(run, fact.happenedAt)
    case 'treatment-ended':
      return { ...resumed(run, fact.happenedAt), endedAt: fact.happenedAt }
    case 'stop-answered':
      return fact.body.decision === 'pause' && !isPaused(run)
        ? paused(run, fact.happenedAt, fact.body.reason || fact.body.seen)
        : run
    default:
      return run
  }
}

function paused(run: Run, from: string, reason: string): Run {
  return { ...run, pauses: [...run.pauses, { from, to: null, reason }] }
}

function resumed(run: Run, to: string): Run {
  if (!isPaused(run)) return run
  return { ...run, pauses: run.pauses.map((pause) => (pause.to === null ? { ...pause, to } : pause)) }
}

export type RunPhase = 'not started' | 'running' | 'paused' | 'ended'

export function isPaused(run: Run): boolean {
  return run.pauses.some((pause) => pause.to === null)
}

export function runPhase(run: Run): RunPhase {
  if (run.startedAt === null) return 'not started'
  if (run.endedAt !== null) return 'ended'
  return isPaused(run) ? 'paused' : 'running'
}

/**
 * Time during which mist was made, pauses left out [ms]: up to `now` while running, up to the end afterwards.
 * A clock that was set back never makes it negative.
 */
export function runElapsedMs(run: Run, now: string): number {
  if (run.startedAt === null) return 0
  const end = Date.parse(run.endedAt ?? now)
  const pausedMs = run.pauses.reduce((sum, pause) => {
    const to = Math.min(Date.parse(pause.to ?? now), end)
    return sum + Math.max(0, to - Date.parse(pause.from))
  }, 0)
  return Math.max(0, end - Date.parse(run.startedAt) - pausedMs)
}
