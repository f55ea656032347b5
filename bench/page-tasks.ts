/** A task of a page's own thread: its processor time [ms], and the longest things in it, in words. */
export type PageTask = { readonly ms: number; readonly parts: readonly string[] }

type TraceEvent = {
  readonly name: string
  readonly ph: string
  readonly pid: number
  readonly tid: number
  readonly ts: number
  readonly dur?: number
  /** Processor time of the thread [µs]. */
  readonly tdur?: number
  readonly args?: {
    readonly name?: string
    readonly data?: { readonly functionName?: string; readonly type?: string }
  }
}

const TASK = 'ThreadControllerImpl::RunTask'
const SHORTEST_PART_MS = 5
const MOST_PARTS = 4

/** The tasks in a trace of Chromium that its busiest page thread ran. */
export function pageTasks(buffer: Buffer): PageTask[] {
  const { traceEvents } = JSON.parse(buffer.toString()) as { traceEvents: readonly TraceEvent[] }
  const isTask = ({ name, ph }: TraceEvent) => ph === 'X' && name === TASK
  const spent = (events: readonly TraceEvent[]) => events.reduce((sum, { tdur = 0 }) => sum + tdur, 0)
  const [busiest] = traceEvents
    .filter(({ name, args }) => name === 'thread_name' && args?.name === 'CrRendererMain')
    .map(({ pid, tid }) => traceEvents.filter((event) => event.pid === pid && event.tid === tid))
    .toSorted((a, b) => spent(b.filter(isTask)) - spent(a.filter(isTask)))
  if (!busiest) throw new Error('the trace holds no page')
  return busiest
    .filter(isTask)
    .map((task) => ({ ms: (task.tdur ?? 0) / 1000, parts: partsOf(task, busiest) }))
}

function partsOf(task: TraceEvent, events: readonly TraceEvent[]): string[] {
  if ((task.tdur ?? 0) / 1000 < SHORTEST_PART_MS) return []
  const end = task.ts + (task.dur ?? 0)
  return events
    .filter(
      ({ name, ph, ts, tdur = 0 }) =>
        ph === 'X' && name !== TASK && ts >= task.ts && ts < end && tdur / 1000 >= SHORTEST_PART_MS,
    )
    .toSorted((a, b) => (b.tdur ?? 0) - (a.tdur ?? 0))
    .slice(0, MOST_PARTS)
    .map(
      ({ name, tdur = 0, args }) =>
        `${[name, args?.data?.type, args?.data?.functionName].filter(Boolean).join(' ')} ${(tdur / 1000).toFixed(0)}`,
    )
}
