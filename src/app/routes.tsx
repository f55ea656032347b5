import { createRootRoute, createRoute, createRouter } from '@tanstack/react-router'
import { RouteError } from './shell/error-screen.tsx'
import { Frame } from './shell/frame.tsx'
import { lazyScreen } from './shell/lazy-screen.tsx'
import { NotHere } from './shell/not-here.tsx'

const root = createRootRoute({ component: Frame })
const getParentRoute = () => root

/** Every address of the app, one line each. A screen lives in `screens/<name>/index.tsx`. */
const routeTree = root.addChildren([
  createRoute({
    getParentRoute,
    path: '/',
    component: lazyScreen(() => import('./screens/round/index.tsx'), 'Round'),
  }),
  createRoute({
    getParentRoute,
    path: '/visit/$visitId',
    component: lazyScreen(() => import('./screens/visit/index.tsx'), 'Visit'),
  }),
  createRoute({
    getParentRoute,
    path: '/patient/$patientId',
    component: lazyScreen(() => import('./screens/patient/index.tsx'), 'Patient'),
  }),
  createRoute({
    getParentRoute,
    path: '/bench',
    component: lazyScreen(() => import('./screens/bench/index.tsx'), 'Bench'),
  }),
  createRoute({
    getParentRoute,
    path: '/settle',
    component: lazyScreen(() => import('./screens/settle/index.tsx'), 'Settle'),
  }),
  createRoute({
    getParentRoute,
    path: '/handover',
    component: lazyScreen(() => import('./screens/handover/index.tsx'), 'Handover'),
  }),
  createRoute({
    getParentRoute,
    path: '/floor',
    component: lazyScreen(() => import('./screens/floor/index.tsx'), 'Floor'),
  }),
  createRoute({
    getParentRoute,
    path: '/record',
    component: lazyScreen(() => import('./screens/record/index.tsx'), 'Record'),
  }),
  createRoute({
    getParentRoute,
    path: '/setup',
    component: lazyScreen(() => import('./screens/setup/index.tsx'), 'Setup'),
  }),
  createRoute({
    getParentRoute,
    path: '/more',
    component: lazyScreen(() => import('./screens/more/index.tsx'), 'More'),
  }),
])

export const router = createRouter({
  routeTree,
  defaultPreload: 'intent',
  scrollRestoration: true,
  scrollToTopSelectors: ['.frame-main'],
  defaultErrorComponent: RouteError,
  defaultNotFoundComponent: NotHere,
})

declare module '@tanstack/react-router' {
  interface Register {
    router: typeof router
  }
}
