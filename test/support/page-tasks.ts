/** A task of a thread: how long it took by the clock on the wall and of the processor [ms], and the longest things in it. */
export type Task = {
  readonly wallMs: number
  readonly processorMs: number
  readonly parts: readonly string[]
}

/** A thread seen in a trace: its tasks, and the addresses of the scripts whose functions it called. */
export type Thread = { readonly tasks: readonly Task[]; readonly scripts: ReadonlySet<string> }

/**
 * What a trace says of one page: the thread that it is drawn by, and the workers of its process. `driver` is what the
 * program that drives the browser asked of the page's thread, in which nothing of the page itself ran.
 */
export type PageTrace = {
  readonly page: Thread
  readonly workers: readonly Thread[]
  readonly driver: readonly Task[]
}

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
    readonly chrome_mojo_event_info?: { readonly mojo_interface_tag?: string }
    readonly data?: { readonly functionName?: string; readonly type?: string; readonly url?: string }
  }
}
type Complete = TraceEvent & { readonly dur: number; readonly tdur: number }

const TASK = 'ThreadControllerImpl::RunTask'
/** By this the driver asks its questions; where anything of the page ran or was laid out in answer, the task is the page's. */
const DRIVER = 'blink.mojom.DevToolsSession'
const OF_THE_PAGE = new Set([
  'FunctionCall',
  'EventDispatch',
  'TimerFire',
  'v8.evaluateModule',
  'UpdateLayoutTree',
  'Layout',
])
const SHORTEST_PART_MS = 5
const MOST_PARTS = 4

/**
 * Reads a trace of Chromium. The page is the one that set a user-timing mark of the name, so that other pages that are
 * open do not count however busy they are.
 * @throws Error when no page or more than one set the mark, when it ran no task, or when a task has no processor time
 */
export function readPageTrace(trace: Buffer | string, mark: string): PageTrace {
  const { traceEvents } = JSON.parse(trace.toString()) as { traceEvents: readonly TraceEvent[] }
  const threads = byThread(traceEvents)
  const marked = [...threads.values()].filter((events) => events.some(({ name }) => name === mark))
  const [own, other] = marked.filter((events) => isNamed(events, 'CrRendererMain'))
  if (!own) throw new Error(`the trace holds no page with the mark "${mark}"`)
  if (other) throw new Error(`the mark "${mark}" stands in more than one page of the trace`)
  const isDrivers = ofDriver(own)
  const page = threadOf(own, (task) => !isDrivers(task))
  if (page.tasks.length === 0) throw new Error('the trace holds no task of the page')
  const workers = [...threads.values()].filter(
    (events) => events[0]?.pid === own[0]?.pid && isNamed(events, 'DedicatedWorker thread'),
  )
  return { page, workers: workers.map((each) => threadOf(each)), driver: threadOf(own, isDrivers).tasks }
}

/** The task that took longest, of the processor or by the clock on the wall. */
export function longest(tasks: readonly Task[], by: 'wallMs' | 'processorMs'): Task {
  const [first] = tasks.toSorted((a, b) => b[by] - a[by])
  if (!first) throw new Error('there is no task to choose from')
  return first
}

function byThread(events: readonly TraceEvent[]): Map<string, TraceEvent[]> {
  const threads = new Map<string, TraceEvent[]>()
  for (const event of events) {
    const key = `${event.pid} ${event.tid}`
    const known = threads.get(key)
    if (known) known.push(event)
    else threads.set(key, [event])
  }
  return threads
}

const isNamed = (events: readonly TraceEvent[], thread: string): boolean =>
  events.some(({ name, args }) => name === 'thread_name' && args?.name === thread)

function threadOf(events: readonly TraceEvent[], counts: (task: TraceEvent) => boolean = () => true): Thread {
  const spans = events.filter(({ ph }) => ph === 'X')
  const tasks = spans
    .filter((each) => each.name === TASK && counts(each))
    .map((task) => taskOf(measured(task), spans))
  return { tasks, scripts: new Set(spans.flatMap(({ args }) => args?.data?.url || [])) }
}

/** Tells of a task whether it only answers the driver. */
function ofDriver(events: readonly TraceEvent[]): (task: TraceEvent) => boolean {
  const asked = events.filter(({ args }) => args?.chrome_mojo_event_info?.mojo_interface_tag === DRIVER)
  const ofThePage = events.filter(({ name }) => OF_THE_PAGE.has(name))
  return ({ ts, dur = 0 }) => {
    const isWithin = (each: TraceEvent) => each.ts >= ts && each.ts < ts + dur
    return asked.some(isWithin) && !ofThePage.some(isWithin)
  }
}

function measured(task: TraceEvent): Complete {
  const { dur, tdur } = task
  if (dur === undefined || tdur === undefined) {
    throw new Error(`a task of the trace has no ${dur === undefined ? 'end' : 'processor time'}`)
  }
  return { ...task, dur, tdur }
}

function taskOf(task: Complete, spans: readonly TraceEvent[]): Task {
  return { wallMs: task.dur / 1000, processorMs: task.tdur / 1000, parts: partsOf(task, spans) }
}

function partsOf(task: Complete, spans: readonly TraceEvent[]): string[] {
  if (task.tdur / 1000 < SHORTEST_PART_MS) return []
  const end = task.ts + task.dur
  return spans
    .filter(
      ({ name, ts, tdur = 0 }) =>
        name !== TASK && ts >= task.ts && ts < end && tdur / 1000 >= SHORTEST_PART_MS,
    )
    .toSorted((a, b) => (b.tdur ?? 0) - (a.tdur ?? 0))
    .slice(0, MOST_PARTS)
    .map(
      ({ name, tdur = 0, args }) =>
        `${[name, args?.data?.type, args?.data?.functionName].filter(Boolean).join(' ')} ${(tdur / 1000).toFixed(0)}`,
    )
}
