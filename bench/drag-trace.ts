/** Processor time of a page's main thread, frame by frame [ms], and by the kind of work over the whole trace. */
export type FrameWork = {
  readonly frames: readonly number[]
  readonly byKind: readonly { readonly kind: string; readonly ms: number }[]
}

type TraceEvent = {
  readonly name: string
  readonly ph: string
  readonly pid: number
  readonly tid: number
  readonly ts: number
  /** Processor time of the thread [µs]. */
  readonly tdur?: number
  readonly dur?: number
  readonly args?: { readonly name?: string }
}

const KINDS = [
  'EventDispatch',
  'FunctionCall',
  'FireAnimationFrame',
  'UpdateLayoutTree',
  'Layout',
  'PrePaint',
  'Paint',
  'Layerize',
  'MinorGC',
  'MajorGC',
] as const

/** Something runs at every frame while a drag is watched. */
const FRAME = 'FireAnimationFrame'
const TASK = 'ThreadControllerImpl::RunTask'

/** Reads a trace of Chromium: the tasks of the page's main thread, added up from one frame to the next. */
export function readTrace(buffer: Buffer): FrameWork {
  const { traceEvents } = JSON.parse(buffer.toString()) as { traceEvents: readonly TraceEvent[] }
  const main = mainThread(traceEvents)
  const own = traceEvents.filter(({ pid, tid }) => pid === main.pid && tid === main.tid)
  const tasks = own
    .filter(({ name, ph }) => ph === 'X' && name === TASK)
    .toSorted((first, second) => first.ts - second.ts)
  const begins = frameBegins(own, tasks)
  const frames = begins.slice(1).map(() => 0)
  for (const { ts, tdur = 0 } of tasks) {
    const at = begins.findLastIndex((begin) => begin <= ts)
    if (at >= 0 && at < frames.length) frames[at] = (frames[at] ?? 0) + tdur / 1000
  }
  const byKind = KINDS.map((kind) => {
    const ms = own.filter(({ name }) => name === kind).reduce((sum, { tdur = 0 }) => sum + tdur / 1000, 0)
    return { kind, ms }
  })
  return { frames, byKind: byKind.filter(({ ms }) => ms >= 1).toSorted((a, b) => b.ms - a.ms) }
}

/** When each frame began [µs]: with the task that ran what runs at every frame. */
function frameBegins(own: readonly TraceEvent[], tasks: readonly TraceEvent[]): readonly number[] {
  const drawn = own.filter(({ name }) => name === FRAME).map(({ ts }) => ts)
  const begins = drawn.map((at) => tasks.findLast(({ ts }) => ts <= at)?.ts ?? at)
  return [...new Set(begins)].toSorted((a, b) => a - b)
}

/** The main thread with most frames: that of the page in sight. */
function mainThread(events: readonly TraceEvent[]): { readonly pid: number; readonly tid: number } {
  const mains = events.filter(({ name, args }) => name === 'thread_name' && args?.name === 'CrRendererMain')
  const frames = ({ pid, tid }: TraceEvent) =>
    events.filter((event) => event.name === FRAME && event.pid === pid && event.tid === tid).length
  const [busiest] = mains.toSorted((a, b) => frames(b) - frames(a))
  if (!busiest) throw new Error('the trace holds no page')
  return busiest
}
