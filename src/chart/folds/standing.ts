import { type Fact, inOrder } from '../fact.ts'

/**
 * Facts that still stand, in the order in which they happened: each once, less those that a later-written fact
 * corrects or strikes. What was corrected stays in the ledger and is shown as history; it no longer counts.
 */
export function standing<F extends Fact>(facts: Iterable<F>): F[] {
  const once = new Map<string, F>()
  for (const fact of facts) once.set(fact.id, fact)
  const corrected = new Set<string>()
  for (const fact of once.values()) if (fact.corrects !== undefined) corrected.add(fact.corrects)
  return inOrder([...once.values()].filter((fact) => !corrected.has(fact.id) && fact.kind !== 'entry-struck'))
}
