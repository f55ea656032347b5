import { defineConfig } from 'vite'

/** The server and the command line as one Node program; libraries stay outside it. */
export default defineConfig({
  publicDir: false,
  build: {
    ssr: 'src/cli/main.ts',
    outDir: 'dist/cli',
    emptyOutDir: true,
    target: 'node20',
    sourcemap: true,
    rolldownOptions: {
      output: { entryFileNames: 'mistwright.js' },
      // The command line answers by every reference system, so that their tables are at hand here anyway.
      checks: { ineffectiveDynamicImport: false },
    },
  },
})
