import { createRootRoute, createRoute, createRouter } from '@tanstack/react-router'
import { createRoot } from 'react-dom/client'
import '../../src/app/look/look.css'
import { AppWorldProvider } from '../../src/app/local/app-world.tsx'
import { App } from '../../src/app/shell/app.tsx'
import { RouteError } from '../../src/app/shell/error-screen.tsx'
import { Frame } from '../../src/app/shell/frame.tsx'
import { lazyScreen } from '../../src/app/shell/lazy-screen.tsx'
import { NotHere } from '../../src/app/shell/not-here.tsx'
import { SECTIONS } from '../../src/app/shell/sections.ts'
import { showTheme } from '../../src/app/shell/theme.ts'
import { Asking } from './asking.tsx'
import { Entries } from './entries.tsx'
import { Pictures } from './pictures.tsx'
import { OneRound, WholeFloor } from './shift.tsx'
import { galleryWorld } from './world.ts'

const root = createRootRoute({ component: Frame })
const getParentRoute = () => root
const own = new Map([
  ['/', Entries],
  ['/bench', Pictures],
  ['/settle', Asking],
  ['/handover', OneRound],
  ['/floor', WholeFloor],
])

function Fails(): never {
  throw new Error('made to fail')
}

const more = createRoute({
  getParentRoute,
  path: '/more',
  component: lazyScreen(() => import('../../src/app/screens/more/index.tsx'), 'More'),
})
const fails = createRoute({ getParentRoute, path: '/fails', component: Fails })
const sections = SECTIONS.filter(({ path }) => path !== '/more').map(({ path }) =>
  createRoute({ getParentRoute, path, component: own.get(path) ?? NotHere }),
)
const router = createRouter({
  routeTree: root.addChildren([...sections, more, fails]),
  defaultErrorComponent: RouteError,
  defaultNotFoundComponent: NotHere,
})

showTheme()
const world = await galleryWorld()
// The tests lock the screen as idleness would, without waiting for it.
Object.assign(window, { gallerySession: world.session })
const place = document.getElementById('root')
if (!place) throw new Error('no place for the gallery')
createRoot(place).render(
  <AppWorldProvider world={world}>
    <App router={router} />
  </AppWorldProvider>,
)
