import { Outlet, useRouter, useRouterState } from '@tanstack/react-router'
import { Suspense, useEffect, useState } from 'react'
import { useSessionState } from '../local/app-world.tsx'
import { Notices } from './notices.tsx'
import { TopLineSlot } from './screen.tsx'
import { SECTIONS } from './sections.ts'
import { TopLine } from './top-line.tsx'
import { useIdleLock } from './use-idle-lock.ts'
import { Ways } from './ways.tsx'
import './frame.css'

/** What stands around every screen: the top line, the ways to the others, and notices that cover nothing. */
export function Frame() {
  const state = useSessionState()
  const signedIn = state.kind === 'in' ? state : null
  const idle = useIdleLock(signedIn?.me.lockAfterMinutes ?? 0, signedIn?.locked ?? true)
  const [slot, setSlot] = useState<HTMLElement | null>(null)
  const path = useRouterState({ select: ({ location }) => location.pathname })
  const name = SECTIONS.find((section) => section.path === path)?.name ?? null
  useEffect(() => {
    document.title = name === null ? 'Mistwright' : `${name} · Mistwright`
  }, [name])
  useFocusOnArrival()
  return (
    <div className="frame">
      <a className="skip-link" href="#main">
        Skip to the content
      </a>
      <Ways />
      <div className="frame-main">
        <TopLine name={name} slotRef={setSlot} />
        <TopLineSlot value={slot}>
          <Suspense fallback={<p className="opening quiet">Opening…</p>}>
            <Outlet />
          </Suspense>
        </TopLineSlot>
      </div>
      <Notices idle={idle} />
    </div>
  )
}

/** After a change of screen, reading goes on from the new screen's heading. */
function useFocusOnArrival(): void {
  const router = useRouter()
  useEffect(
    () =>
      router.subscribe('onRendered', ({ fromLocation, pathChanged }) => {
        if (!fromLocation || !pathChanged) return
        const heading = document.querySelector<HTMLElement>('.frame-main h1')
        if (!heading) return
        heading.tabIndex = -1
        heading.focus({ preventScroll: true })
      }),
    [router],
  )
}
