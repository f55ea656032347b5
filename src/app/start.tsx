import { createRoot } from 'react-dom/client'
import { createApi } from './local/api.ts'
import { AppWorldProvider } from './local/app-world.tsx'
import { Session } from './local/session.ts'
import { router } from './routes.tsx'
import { App } from './shell/app.tsx'

/** Finds out who is signed in, and draws the app. */
export function start(): void {
  const api = createApi((input, init) => fetch(input, init))
  const session = new Session(api)
  void session.open()
  const root = document.getElementById('root')
  if (!root) throw new Error('the page has no place for the app')
  createRoot(root).render(
    <AppWorldProvider world={{ api, session, nowMs: Date.now }}>
      <App router={router} />
    </AppWorldProvider>,
  )
}
