import { useSyncExternalStore } from 'react'

type Said = { readonly polite: string; readonly assertive: string }

let said: Said = { polite: '', assertive: '' }
const listeners = new Set<() => void>()

/**
 * Has a screen reader say something: `polite` when it next pauses, `assertive` at once. The same words twice are
 * said twice.
 */
export function announce(text: string, urgency: keyof Said = 'polite'): void {
  // A trailing no-break space makes the same words a change.
  const again = said[urgency] === text ? `${text}\u00a0` : text
  said = { ...said, [urgency]: again }
  for (const listener of listeners) listener()
}

function subscribe(listener: () => void): () => void {
  listeners.add(listener)
  return () => listeners.delete(listener)
}

/** Where announcements are put for screen readers. Stands once, outside of everything that can be covered. */
export function LiveRegions() {
  const { polite, assertive } = useSyncExternalStore(subscribe, () => said)
  return (
    <div className="unseen" data-live-announcer="true">
      <div role="status" aria-live="polite">
        {polite}
      </div>
      <div role="alert" aria-live="assertive">
        {assertive}
      </div>
    </div>
  )
}
