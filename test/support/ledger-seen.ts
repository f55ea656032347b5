import type { Page } from 'playwright-core'
import type { AnyFact } from '../../src/chart/registry.ts'

/** The facts of a kind in the server's ledger, as whoever is signed in on the page may read them, oldest first. */
export async function factsOf<K extends AnyFact['kind']>(
  page: Page,
  kind: K,
): Promise<Extract<AnyFact, { kind: K }>[]> {
  const facts = await page.evaluate(async () => {
    const entries: { fact: unknown }[] = []
    for (let after = 0, more = true; more; ) {
      const reply = await fetch(`/api/facts?after=${after}&limit=5000`)
      const body = await reply.json()
      entries.push(...body.entries)
      after = body.entries.at(-1)?.sequence ?? after
      more = body.more
    }
    return entries.map(({ fact }) => fact)
  })
  return (facts as AnyFact[]).filter((fact): fact is Extract<AnyFact, { kind: K }> => fact.kind === kind)
}
