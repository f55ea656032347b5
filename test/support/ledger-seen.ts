import { join } from 'node:path'
import type { AnyFact } from '../../src/chart/registry.ts'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import type { Hospital } from './hospital.ts'

/** The facility of the invented hospital. */
const FACILITY = 'marrowby'

/** Facts in the server's ledger with their numbers, oldest first, as they lie on its disk. */
export async function entriesOf({
  folder,
}: Hospital): Promise<{ readonly sequence: number; readonly fact: AnyFact }[]> {
  const ledger = new Ledger(openDatabase(join(folder, 'mistwright.db')))
  try {
    const entries = []
    for await (const { sequence, text } of ledger.entries(FACILITY))
      entries.push({ sequence, fact: JSON.parse(text) as AnyFact })
    return entries
  } finally {
    await ledger.close()
  }
}

/** The facts of a kind in the server's ledger, oldest first. */
export async function factsOf<K extends AnyFact['kind']>(
  hospital: Hospital,
  kind: K,
): Promise<Extract<AnyFact, { kind: K }>[]> {
  const facts = (await entriesOf(hospital)).map(({ fact }) => fact)
  return facts.filter((fact): fact is Extract<AnyFact, { kind: K }> => fact.kind === kind)
}
