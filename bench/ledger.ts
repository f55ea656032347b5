import { parseArgs } from 'node:util'
import { benchDurable } from './ledger-durable.ts'
import { benchFolds } from './ledger-folds.ts'
import { benchLarge } from './ledger-large.ts'
import { benchTablets } from './ledger-tablets.ts'

const PARTS = { durable: benchDurable, folds: benchFolds, tablets: benchTablets, large: benchLarge } as const
type Part = keyof typeof PARTS

/**
 * `npm run bench -- ledger [durable folds tablets large] [--facts 5000000] [--tablets 100] [--seconds 60]`: what the
 * record takes, how long it makes people wait, and what changes when it is large.
 */
export async function run(): Promise<void> {
  const { values, positionals } = parseArgs({
    args: process.argv.slice(3),
    allowPositionals: true,
    options: {
      facts: { type: 'string', default: '5000000' },
      tablets: { type: 'string', default: '100' },
      seconds: { type: 'string', default: '60' },
    },
  })
  const sizes = {
    facts: Number(values.facts),
    tablets: Number(values.tablets),
    seconds: Number(values.seconds),
  }
  const parts = positionals.length === 0 ? (Object.keys(PARTS) as Part[]) : (positionals as Part[])
  for (const part of parts) {
    if (!PARTS[part]) throw new Error(`no part "${part}"; there are ${Object.keys(PARTS).join(', ')}`)
    console.log(`\n— ${part}`)
    await PARTS[part](sizes)
  }
}
