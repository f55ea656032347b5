import { readFileSync } from 'node:fs'
import react from '@vitejs/plugin-react'
import { defineConfig } from 'vite'
import { VitePWA } from 'vite-plugin-pwa'

const { version, description } = JSON.parse(readFileSync(new URL('./package.json', import.meta.url), 'utf8'))

/** None of our modules does anything by being loaded: what a page does not use of it, its files leave out. */
const treeshake = { moduleSideEffects: [{ test: /\/src\/.+\.tsx?$/, sideEffects: false }] }

/** The app: from src/app to dist/app, with a service worker that keeps it at hand without a network. */
export default defineConfig({
  root: 'src/app',
  publicDir: 'public',
  define: { APP_VERSION: JSON.stringify(version) },
  build: {
    outDir: '../../dist/app',
    emptyOutDir: true,
    target: 'es2022',
    // Every byte comes from a file of its own, so that the content security policy may stay at 'self'.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    // One larger file, fetched once and then kept by the service worker; screens come in files of their own.
    chunkSizeWarningLimit: 900,
    rolldownOptions: { treeshake },
  },
  worker: { format: 'es', rolldownOptions: { treeshake } },
  plugins: [
    react(),
    VitePWA({
      // A new version waits until a person says so: nothing reloads in the middle of a visit.
      registerType: 'prompt',
      injectRegister: false,
      manifest: {
        id: '/',
        name: 'Mistwright',
        short_name: 'Mistwright',
        description,
        start_url: '/',
        scope: '/',
        display: 'standalone',
        background_color: '#14110d',
        theme_color: '#14110d',
        icons: [
          { src: '/icon.svg', sizes: 'any', type: 'image/svg+xml' },
          { src: '/icon-192.png', sizes: '192x192', type: 'image/png' },
          { src: '/icon-512.png', sizes: '512x512', type: 'image/png' },
          { src: '/icon-maskable-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
        ],
      },
      workbox: {
        globPatterns: ['**/*.{html,js,css,svg,png,woff2,wasm}'],
        // Letters of languages that no screen is written in yet are fetched when they are first needed.
        globIgnores: ['**/*-{cyrillic,cyrillic-ext,greek,greek-ext,vietnamese}-*'],
        navigateFallback: '/index.html',
        navigateFallbackDenylist: [/^\/api\//, /^\/fhir\//],
        cleanupOutdatedCaches: true,
      },
    }),
  ],
})
