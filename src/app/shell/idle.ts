/** How long before the lock the warning stands [s]. Design rule. */
export const WARNING_S = 30

/** What idleness amounts to: nothing, a warning with the seconds left, or the lock. */
export type Idle =
  | { readonly kind: 'active' }
  | { readonly kind: 'warn'; readonly leftS: number }
  | { readonly kind: 'lock' }

/**
 * Idleness by the time since the last touch. The warning takes at most half of a short time; zero or fewer
 * minutes never lock.
 */
export function idleness(lastActiveMs: number, nowMs: number, lockAfterMinutes: number): Idle {
  if (lockAfterMinutes <= 0) return { kind: 'active' }
  const leftS = Math.ceil((lastActiveMs + lockAfterMinutes * 60_000 - nowMs) / 1000)
  if (leftS <= 0) return { kind: 'lock' }
  return leftS <= Math.min(WARNING_S, lockAfterMinutes * 30) ? { kind: 'warn', leftS } : { kind: 'active' }
}
