import { defineConfig } from 'vitest/config'

/** Three projects: pure and server tests, tests that drive a real browser, and (only when asked) screenshots. */
export default defineConfig({
  test: {
    projects: [
      {
        test: {
          name: 'unit',
          include: ['src/**/*.test.ts', 'test/unit/**/*.test.ts'],
          environment: 'node',
          testTimeout: 30_000,
          // Starting and throwing away a database server takes its time on a busy machine.
          hookTimeout: 60_000,
        },
      },
      {
        test: {
          name: 'browser',
          include: ['test/browser/**/*.test.ts'],
          environment: 'node',
          testTimeout: 180_000,
          hookTimeout: 180_000,
          fileParallelism: false,
        },
      },
      {
        test: {
          name: 'shots',
          include: process.env.SHOTS ? ['test/shots/**/*.shot.ts'] : [],
          environment: 'node',
          testTimeout: 180_000,
          hookTimeout: 180_000,
          fileParallelism: false,
        },
      },
    ],
  },
})
