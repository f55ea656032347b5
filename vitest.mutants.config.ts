import { defineConfig } from 'vitest/config'

/** The tests that mutants of the dose, lung-function and stop-rule code are put to. */
export default defineConfig({
  test: {
    include: [
      'src/clinical/medicine/**/*.test.ts',
      'src/clinical/lung-function/**/*.test.ts',
      'src/clinical/assessment/**/*.test.ts',
    ],
    environment: 'node',
  },
})
