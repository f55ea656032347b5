import { fileURLToPath } from 'node:url'
import react from '@vitejs/plugin-react'
import { defineConfig } from 'vite'

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url))

/** Every part on one page, and the frame around it: to be looked at and checked, never shipped. */
export default defineConfig({
  root: here('.'),
  publicDir: here('../../src/app/public'),
  define: { APP_VERSION: JSON.stringify('gallery') },
  resolve: { alias: { 'virtual:pwa-register/react': here('./no-service-worker.ts') } },
  build: { outDir: here('../../dist/gallery'), emptyOutDir: true, chunkSizeWarningLimit: 900 },
  worker: { format: 'es' },
  plugins: [react()],
})
