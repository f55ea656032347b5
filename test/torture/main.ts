/**
 * `npm run torture -- [--rounds 240] [--seed N] [--store sqlite|postgres|both]`: kills servers, databases and a browser
 * at random moments under load, and looks at the end whether every promise was kept. Exit code 1 when one was not.
 */
import { parseArgs } from 'node:util'
import type { StoreKind } from './hospital.ts'
import { torture } from './torture.ts'

const { values } = parseArgs({
  options: {
    rounds: { type: 'string', default: '240' },
    seed: { type: 'string', default: String(Date.now() % 1_000_000) },
    store: { type: 'string', default: 'both' },
  },
})
const kinds: readonly StoreKind[] =
  values.store === 'both' ? ['sqlite', 'postgres'] : [values.store === 'sqlite' ? 'sqlite' : 'postgres']
const rounds = Math.ceil(Number(values.rounds) / kinds.length)
const seed = Number(values.seed)
console.log(
  `Again with the same dice: npm run torture -- --rounds ${values.rounds} --seed ${seed} --store ${values.store}`,
)
let broken = 0
for (const kind of kinds) {
  const began = Date.now()
  const { broken: promises, ...counts } = await torture({ kind, rounds, seed, tell: console.log })
  const seconds = Math.round((Date.now() - began) / 1000)
  console.log(`${kind}: ${rounds} rounds in ${seconds} s; ${JSON.stringify(counts)}`)
  for (const promise of promises.slice(0, 50)) console.error(`BROKEN: ${promise}`)
  console.log(promises.length === 0 ? 'Every promise was kept.' : `${promises.length} promises were broken.`)
  broken += promises.length
}
process.exit(broken === 0 ? 0 : 1)
