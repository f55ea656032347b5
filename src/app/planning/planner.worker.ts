import { recordReader } from './base-from-record.ts'
import type { LongWork, WorkDone } from './long-work.ts'
import type { FromLongWork } from './long-work.worker.ts'
import type { FromPlanner, ToPlanner } from './messages.ts'
import { Planner, type WorkBegun } from './planner.ts'

/** The planner in a thread of its own: the screen never waits for it. */
const here = self as unknown as {
  postMessage(message: FromPlanner): void
  onmessage: ((event: MessageEvent<ToPlanner>) => void) | null
}

const planner = new Planner({
  post: (message) => here.postMessage(message),
  baseOf: recordReader(),
  ticks: () => performance.now(),
  // A timer, not a promise alone: only then are messages taken in between.
  rest: () => new Promise((resolve) => setTimeout(resolve, 0)),
  workOn,
})

/** Long work in a thread of its own, so that an event is planned for while somebody waits, and ending it is at once. */
function workOn(work: LongWork, progress: (share: number) => void): WorkBegun {
  const thread = new Worker(new URL('./long-work.worker.ts', import.meta.url), { type: 'module' })
  const { promise, resolve, reject } = withEnds<WorkDone | null>()
  thread.onmessage = ({ data }: MessageEvent<FromLongWork>) => {
    if ('share' in data) return progress(data.share)
    thread.terminate()
    resolve(data.done)
  }
  thread.onerror = (event) => {
    thread.terminate()
    reject(new Error(event.message || 'the thread ended'))
  }
  thread.postMessage(work)
  const end = () => {
    thread.terminate()
    resolve(null)
  }
  return { done: promise, end }
}

function withEnds<Value>() {
  let resolve: (value: Value) => void = () => {}
  let reject: (error: Error) => void = () => {}
  const promise = new Promise<Value>((onDone, onError) => {
    resolve = onDone
    reject = onError
  })
  return { promise, resolve, reject }
}

here.onmessage = ({ data }) => planner.take(data)
