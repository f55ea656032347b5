import type { z } from 'zod'
import { ApiError } from '../../api/schemas.ts'

/** What became of a request. Expected failures are values; nothing here throws. */
export type Reply<T> =
  | { readonly kind: 'ok'; readonly body: T }
  | {
      readonly kind: 'said no'
      readonly status: number
      readonly error: ApiError['error']
      readonly retryAfterMs?: number
    }
  | { readonly kind: 'unreachable'; readonly why: string; readonly retryAfterMs?: number }

export type Api = {
  readonly get: <T>(path: string, reply: z.ZodType<T>) => Promise<Reply<T>>
  readonly post: <T>(path: string, body: unknown, reply: z.ZodType<T>) => Promise<Reply<T>>
}

/** Longest wait for an answer [ms]. Design rule. */
const TIMEOUT_MS = 20_000

/** Speaks to the server. `fetcher` is `fetch`, or what stands in for it. */
export function createApi(fetcher: typeof fetch): Api {
  const ask = async <T>(path: string, init: RequestInit, reply: z.ZodType<T>): Promise<Reply<T>> => {
    try {
      const response = await fetcher(path, {
        ...init,
        credentials: 'same-origin',
        cache: 'no-store',
        signal: AbortSignal.timeout(TIMEOUT_MS),
      })
      return await read(response, reply)
    } catch (error) {
      return { kind: 'unreachable', why: error instanceof Error ? error.message : String(error) }
    }
  }
  return {
    get: (path, reply) => ask(path, { method: 'GET' }, reply),
    post: (path, body, reply) =>
      ask(
        path,
        { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) },
        reply,
      ),
  }
}

async function read<T>(response: Response, reply: z.ZodType<T>): Promise<Reply<T>> {
  const text = await response.text()
  const body = parsed(text)
  if (response.ok) {
    const answer = reply.safeParse(body)
    if (answer.success) return { kind: 'ok', body: answer.data }
    // Something between tablet and server answered in its place: a sign-in page of the network, an old server.
    return { kind: 'unreachable', why: `the answer was not understood (${response.status})` }
  }
  const retryAfterMs = retryAfter(response)
  const error = ApiError.safeParse(body)
  if (error.success) {
    return { kind: 'said no', status: response.status, error: error.data.error, ...retryAfterMs }
  }
  return { kind: 'unreachable', why: `the server answered ${response.status}`, ...retryAfterMs }
}

function parsed(text: string): unknown {
  try {
    return text === '' ? null : JSON.parse(text)
  } catch {
    return undefined
  }
}

/** Retry-After in seconds (RFC 9110, section 10.2.3); the form with a date is not used here. */
function retryAfter(response: Response): { retryAfterMs?: number } {
  const seconds = Number(response.headers.get('retry-after') ?? Number.NaN)
  return Number.isFinite(seconds) && seconds > 0 ? { retryAfterMs: seconds * 1000 } : {}
}
