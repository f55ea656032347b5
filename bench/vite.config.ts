import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vite'

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url))

/** The benches as one Node program; libraries stay outside it. */
export default defineConfig({
  root: here('..'),
  publicDir: false,
  build: { ssr: here('main.ts'), outDir: here('../dist/bench'), emptyOutDir: true, target: 'node20' },
})
