/** Heavy measurements, by name: `npm run bench -- forecast`. Never part of the tests. */

type Bench = { readonly run: () => Promise<void> }

const BENCHES: Readonly<Record<string, () => Promise<Bench>>> = {
  forecast: () => import('./forecast.ts'),
  drag: () => import('./drag.ts'),
  thread: () => import('./thread.ts'),
  observations: () => import('./observations.ts'),
  calibration: () => import('./calibration.ts'),
  round: () => import('./round.ts'),
  chance: () => import('./chance.ts'),
  mutants: () => import('./mutants.ts'),
  replay: () => import('./replay.ts'),
  ledger: () => import('./ledger.ts'),
  learned: () => import('./learned.ts'),
}

const asked = process.argv[2] ?? ''
const bench = BENCHES[asked]
if (!bench) {
  console.error(`No bench "${asked}". There are: ${Object.keys(BENCHES).join(', ')}.`)
  process.exit(2)
}
await (await bench()).run()

export {}
