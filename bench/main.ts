/** Heavy measurements, by name: `npm run bench -- forecast`. Never part of the tests. */
const BENCHES: Readonly<Record<string, () => Promise<{ run: () => Promise<void> }>>> = {
  forecast: () => import('./forecast.ts'),
}

const [name = ''] = process.argv.slice(2)
const bench = BENCHES[name]
if (!bench) {
  console.error(`No bench "${name}". There are: ${Object.keys(BENCHES).join(', ')}.`)
  process.exit(2)
}
await (await bench()).run()
