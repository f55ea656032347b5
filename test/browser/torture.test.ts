import { afterAll, describe, expect, it } from 'vitest'
import { torture } from '../torture/torture.ts'

/** The same dice in every run; `npm run torture` throws others, and many more rounds. */
const SEED = Number(process.env.TORTURE_SEED ?? 20_260_310)
const said: string[] = []
afterAll(() => console.log(said.join('\n')))

describe('everything acknowledged is there once, and every device shows the same', () => {
  for (const kind of ['sqlite', 'postgres'] as const) {
    it(`after kills, cuts and a full disk on ${kind}`, async () => {
      const verdict = await torture({ kind, rounds: 3, seed: SEED, tell: (line) => said.push(line) })
      expect(verdict.broken).toEqual([])
      expect(verdict.acknowledged).toBeGreaterThan(0)
      expect(verdict.keptByBrowser).toBeGreaterThan(0)
      expect(verdict.facts).toBeGreaterThanOrEqual(verdict.keptByBrowser)
    })
  }
})
