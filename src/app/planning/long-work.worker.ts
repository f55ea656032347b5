import { doLongWork, type LongWork, type WorkDone } from './long-work.ts'

export type FromLongWork = { readonly share: number } | { readonly done: WorkDone }

/** One piece of long work in a thread of its own: the planner stays at hand, and whoever waits can end the thread. */
const here = self as unknown as {
  postMessage(message: FromLongWork): void
  onmessage: ((event: MessageEvent<LongWork>) => void) | null
}

/** No more often than anybody could see [ms]. */
const TELL_EVERY_MS = 100

here.onmessage = ({ data }) => {
  let toldAt = 0
  const done = doLongWork(data, {
    ticks: () => performance.now(),
    progress: (share) => {
      if (performance.now() - toldAt < TELL_EVERY_MS) return
      toldAt = performance.now()
      here.postMessage({ share })
    },
  })
  here.postMessage({ done })
}
