import { type AnyRouter, RouterProvider } from '@tanstack/react-router'
import { useEffect } from 'react'
import { createPortal } from 'react-dom'
import { useSession, useSessionState } from '../local/app-world.tsx'
import { Lock } from '../screens/lock/index.tsx'
import { ChoosePin } from '../screens/sign-in/choose-pin.tsx'
import { SignIn } from '../screens/sign-in/index.tsx'
import { LiveRegions } from './announce.tsx'
import { ErrorBoundary } from './error-screen.tsx'
import { useWakeUps } from './use-wake-ups.ts'

/** The whole app: nobody in, somebody in, or somebody in behind the lock. */
export function App({ router }: { readonly router: AnyRouter }) {
  return (
    <ErrorBoundary>
      <Gate router={router} />
      <OverAll>
        <LiveRegions />
      </OverAll>
    </ErrorBoundary>
  )
}

function Gate({ router }: { readonly router: AnyRouter }) {
  const state = useSessionState()
  const session = useSession()
  const locked = state.kind === 'in' && state.locked
  useWakeUps(session, state)
  // What is behind the lock stays as it was, half-entered figures too, but is neither seen nor reached.
  useEffect(() => {
    document.body.toggleAttribute('data-locked', locked)
  }, [locked])
  if (state.kind === 'opening') return <p className="opening quiet">Opening…</p>
  if (state.kind === 'signed out') return <SignIn />
  if (state.offerPin && !locked) return <ChoosePin />
  return (
    <>
      <RouterProvider router={router} />
      {locked && (
        <OverAll>
          <Lock />
        </OverAll>
      )}
    </>
  )
}

function OverAll({ children }: { readonly children: React.ReactNode }) {
  const place = document.getElementById('over-all')
  return place && createPortal(children, place)
}
