import { LiveEvent } from '../../api/schemas.ts'

export type LiveListener = {
  readonly opened: () => void
  readonly says: (last: number) => void
  readonly lost: () => void
}

/** Listens to the server's live line; gives what closes it. A line that breaks is reported lost once and closed. */
export function openLive(listener: LiveListener): () => void {
  const source = new EventSource('/api/live')
  let closed = false
  const close = () => {
    closed = true
    source.close()
  }
  source.onopen = () => !closed && listener.opened()
  source.addEventListener('ledger', (event) => {
    const said = LiveEvent.safeParse(json(event.data))
    if (said.success && !closed) listener.says(said.data.last)
  })
  source.onerror = () => {
    if (closed) return
    close()
    listener.lost()
  }
  return close
}

function json(text: unknown): unknown {
  try {
    return JSON.parse(String(text))
  } catch {
    return null
  }
}
