import { useEffect, useRef, useState } from 'react'
import { useSession } from '../local/app-world.tsx'
import { notePerson } from '../local/device.ts'
import { type Idle, idleness } from './idle.ts'

const TOUCHES = ['pointerdown', 'keydown', 'wheel'] as const
/** How often the last touch is written down, so that a closed app knows how long it was left [ms]. */
const NOTE_EVERY_MS = 15_000

/** Locks the screen when nobody touches it; gives the warning while it stands. */
export function useIdleLock(lockAfterMinutes: number, locked: boolean): Idle {
  const session = useSession()
  const [idle, setIdle] = useState<Idle>({ kind: 'active' })
  const lastMs = useRef(Date.now())
  useEffect(() => {
    if (locked) return
    lastMs.current = Date.now()
    let notedMs = 0
    const look = () => {
      const next = idleness(lastMs.current, Date.now(), lockAfterMinutes)
      setIdle((before) => (before.kind === 'active' && next.kind === 'active' ? before : next))
      if (next.kind === 'lock') session.lock()
    }
    const touched = () => {
      // A tablet that slept past its time must lock, not be woken by the touch that finds it.
      if (idleness(lastMs.current, Date.now(), lockAfterMinutes).kind === 'lock') return look()
      lastMs.current = Date.now()
      if (lastMs.current - notedMs > NOTE_EVERY_MS) {
        notedMs = lastMs.current
        notePerson({ lastActiveAtMs: notedMs })
      }
      look()
    }
    const timer = setInterval(look, 1000)
    for (const touch of TOUCHES) window.addEventListener(touch, touched, { capture: true, passive: true })
    document.addEventListener('visibilitychange', look)
    return () => {
      clearInterval(timer)
      for (const touch of TOUCHES) window.removeEventListener(touch, touched, { capture: true })
      document.removeEventListener('visibilitychange', look)
    }
  }, [session, locked, lockAfterMinutes])
  return locked ? { kind: 'active' } : idle
}
