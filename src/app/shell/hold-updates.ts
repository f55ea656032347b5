import { useEffect, useId, useSyncExternalStore } from 'react'

const reasons = new Map<string, string>()
const listeners = new Set<() => void>()

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
    return () => {
      reasons.delete(id)
      tell()
    }
  }, [id, reason])
}

/** The first reason to wait with a new version; null when there is none. */
export function useHeldReason(): string | null {
  return useSyncExternalStore(subscribe, () => [...reasons.values()][0] ?? null)
}

function subscribe(listener: () => void): () => void {
  listeners.add(listener)
  return () => listeners.delete(listener)
}

function tell(): void {
  for (const listener of listeners) listener()
}
