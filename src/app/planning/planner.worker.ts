import { recordReader } from './base-from-record.ts'
import type { FromPlanner, ToPlanner } from './messages.ts'
import { Planner } from './planner.ts'

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
})

here.onmessage = ({ data }) => planner.take(data)
