import { useEffect, useId, useSyncExternalStore } from 'react'

const reasons = new Map<string, string>()
const listeners = new Set<() => void>()
/** Held together by every window that must not be interrupted: a new version takes over in all windows at once. */
const LOCK = 'mistwright is not to be interrupted'

/**
 * While the component is there and `reason` is not null, a new version is not offered: opening the app anew
 * would interrupt it. Say the reason as it reads after a colon: "a visit is open".
 */
export function useHoldUpdates(reason: string | null): void {
  const id = useId()
  useEffect(() => {
    if (reason === null) return
    reasons.set(id, reason)
    tell()
    let release: (() => void) | undefined
    const wanted = new AbortController()
    void navigator.locks
      ?.request(
        LOCK,
        { mode: 'shared', signal: wanted.signal },
        () => new Promise<void>((done) => (release = done)),
      )
      .catch(() => undefined)
    return () => {
      wanted.abort()
      release?.()
      reasons.delete(id)
      tell()
    }
  }, [id, reason])
}

/** The first reason to wait with a new version; null when there is none. */
export function useHeldReason(): string | null {
  return useSyncExternalStore(subscribe, () => [...reasons.values()][0] ?? null)
}

/** Acts unless some window of this browser must not be interrupted; gives whether it acted. */
export async function unlessHeld(act: () => Promise<void>): Promise<boolean> {
  if (!navigator.locks) return act().then(() => true)
  return navigator.locks.request(LOCK, { ifAvailable: true }, async (lock) => {
    if (lock === null) return false
    await act()
    return true
  })
}

function subscribe(listener: () => void): () => void {
  listeners.add(listener)
  return () => listeners.delete(listener)
}

function tell(): void {
  for (const listener of listeners) listener()
}
