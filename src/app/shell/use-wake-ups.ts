import { useEffect } from 'react'
import type { Session, SessionState } from '../local/session.ts'

/** Tells the store when the tablet wakes or its network is back, and settles an unlocking that the server missed. */
export function useWakeUps(session: Session, state: SessionState): void {
  const store = state.kind === 'in' ? state.store : null
  useEffect(() => {
    if (!store) return
    const wake = () => {
      if (document.visibilityState === 'visible') store.wake()
    }
    let line = store.sending().line
    const watch = store.subscribe(() => {
      const next = store.sending().line
      if (next !== line && next === 'locked') void session.settleDoor()
      line = next
    })
    window.addEventListener('online', wake)
    document.addEventListener('visibilitychange', wake)
    return () => {
      watch()
      window.removeEventListener('online', wake)
      document.removeEventListener('visibilitychange', wake)
    }
  }, [session, store])
}
