import { createContext, type ReactNode, useContext, useSyncExternalStore } from 'react'
import type { Api } from './api.ts'
import type { Session, SessionState } from './session.ts'

/** What the app is given from outside: the server, the session, and a clock that a test can set. */
export type AppWorld = { readonly api: Api; readonly session: Session; readonly nowMs: () => number }

const World = createContext<AppWorld | null>(null)

export function AppWorldProvider({
  world,
  children,
}: {
  readonly world: AppWorld
  readonly children: ReactNode
}) {
  return <World value={world}>{children}</World>
}

/** What the app was given. */
export function useWorld(): AppWorld {
  const world = useContext(World)
  if (!world) throw new Error('used outside the app')
  return world
}

/** Signs in and out, locks and unlocks. */
export function useSession(): Session {
  return useWorld().session
}

/** Who is signed in, renewed as it changes. */
export function useSessionState(): SessionState {
  const session = useSession()
  return useSyncExternalStore(session.subscribe, session.state)
}
