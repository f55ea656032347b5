import { type AnyFact, KINDS, readFact } from '../../chart/registry.ts'
import type { FactRow } from './keep-database.ts'
import type { Safe } from './safe.ts'

/** A kept fact as it is in memory. */
export type Entry = Omit<FactRow, 'sealed' | 'held'> & { readonly fact: unknown }

/** What the program can read of entries, and how many it cannot. */
export type Readable = {
  readonly facts: AnyFact[]
  readonly aheadMs: Map<string, number>
  readonly unreadable: number
}

/** Changes when any kind of fact gets a new version: then what is kept is read anew. */
export const READ_BY = KINDS.map(({ kind, version }) => `${kind}.${version}`).join(' ')

/** A fact as it came, with what this program can make of it. */
export function entry(given: unknown, sequence: number | null, aheadMs: number | null): Entry {
  const read = readFact(given)
  const id = read.ok ? read.fact.id : String((given as { id?: unknown }).id)
  return { id, sequence, aheadMs, readable: read.ok, fact: read.ok ? read.fact : given }
}

export function readable(entries: readonly Entry[]): Readable {
  const good = entries.filter((each) => each.readable)
  return {
    facts: good.map((each) => each.fact as AnyFact),
    aheadMs: new Map(entries.flatMap(({ id, aheadMs }) => (aheadMs === null ? [] : [[id, aheadMs]]))),
    unreadable: entries.length - good.length,
  }
}

/** Who wrote a fact, also one that only a newer program can read. */
export function writerOf(fact: unknown): unknown {
  return (fact as { readonly by?: { readonly personId?: unknown } } | null)?.by?.personId
}

/** Whom a fact is about, also one that only a newer program can read; null when it is about nobody. */
export function patientOf(fact: unknown): string | null {
  const id = (fact as { readonly about?: { readonly patientId?: unknown } } | null)?.about?.patientId
  return typeof id === 'string' ? id : null
}

export async function sealedRow(safe: Safe, { fact, ...rest }: Entry, held: string): Promise<FactRow> {
  return { ...rest, held, sealed: await safe.seal(fact, rest.id) }
}

export async function openedRow(safe: Safe, { sealed, held: _, ...rest }: FactRow): Promise<Entry> {
  return { ...rest, fact: await safe.open(sealed, rest.id) }
}
