/** Heavy measurements, by name: `npm run bench -- forecast`. Never part of the tests. */
import * as forecast from './forecast.ts'

const BENCHES: Readonly<Record<string, () => Promise<void>>> = { forecast: forecast.run }

const asked = process.argv[2] ?? ''
const bench = BENCHES[asked]
if (!bench) {
  console.error(`No bench "${asked}". There are: ${Object.keys(BENCHES).join(', ')}.`)
  process.exit(2)
}
await bench()
