import './look/look.css'

// What the app is made of is taken up in parts, each in a task of its own: all at once would hold up the first touch.
const { showTheme } = await import('./shell/theme.ts')
showTheme()
await import('../chart/registry.ts')
await import('react-dom/client')
await import('./local/session.ts')
await import('./shell/app.tsx')
const { start } = await import('./start.tsx')
start()
