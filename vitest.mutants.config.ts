import { defineConfig } from 'vitest/config'

const TESTS = {
  dose: [
    'src/clinical/medicine/{dose,continuous,mixture}/**/*.test.ts',
    'src/clinical/medicine/{calculations,dose-calculation}.test.ts',
  ],
  'lung-function': ['src/clinical/lung-function/**/*.test.ts'],
  'stop-rules': [
    'src/clinical/assessment/{stop-rule*,default-stop-rules,judge-condition,condition,document}.test.ts',
  ],
}
type Part = keyof typeof TESTS
const part = process.env.MUTANTS_OF as Part | undefined

/** The tests that mutants of one part are put to: its own; the tests of all parts when none is named. */
export default defineConfig({
  test: {
    include: part === undefined ? Object.values(TESTS).flat() : TESTS[part],
    environment: 'node',
    // mutants run beside other work: a slow test is no caught mutant
    testTimeout: 60_000,
  },
})
