import type { Transaction } from 'kysely'
import { type LedgerEntry, nextEntry } from '../chart/chain.ts'
import { type FactEnvelope, factText } from '../chart/fact.ts'
import { platformDigest } from './digest.ts'
import { fileUnder, type Stored } from './finders.ts'
import { insertRows } from './insert-rows.ts'
import { rowOf } from './ledger-rows.ts'
import type { LedgerRow, Tables } from './schema.ts'
import type { DatabaseKind } from './steps.ts'

/** What became of one fact of a batch. `known`: stored before, the same to the letter; sending again changed nothing. */
export type Appended =
  | { readonly id: string; readonly status: 'stored' | 'known'; readonly sequence: number }
  | { readonly id: string; readonly status: 'refused'; readonly why: string }

export type Incoming = {
  readonly facts: readonly FactEnvelope[]
  readonly receivedAt: string
  readonly deviceAheadMs: number | null
  /** Store only if the ledger still ends here: for facts that were worked out from all that came before. */
  readonly onlyIfLast?: number
  /** Store all of them or none: for facts that only mean something side by side. */
  readonly together?: boolean
}

/** Thrown by an append with `onlyIfLast` when the ledger has grown meanwhile; nothing was stored. */
export class LedgerMoved extends Error {
  override readonly name = 'LedgerMoved'
  constructor(expected: number, found: number) {
    super(`the ledger has grown from ${expected} to ${found}; nothing was stored`)
  }
}

/** Thrown by an append with `together` when a fact was refused; nothing was stored. */
export class NotTogether extends Error {
  override readonly name = 'NotTogether'
  readonly refused: readonly Appended[]
  constructor(refused: readonly Appended[]) {
    super(`${refused.length} of the facts cannot be stored, so none was`)
    this.refused = refused
  }
}

/** Facts asked for in one statement; SQLite takes at most 32,766 values in one. */
const IDS_AT_ONCE = 2000

/**
 * Appends a batch within a transaction that no other append of the facility can enter.
 * @throws LedgerMoved, NotTogether
 */
export async function appendWithin(
  transaction: Transaction<Tables>,
  kind: DatabaseKind,
  facility: string,
  incoming: Incoming,
): Promise<Appended[]> {
  const { facts, onlyIfLast, together } = incoming
  const known = await knownTexts(transaction, facility, facts)
  let last = await lastEntry(transaction, facility)
  const lastSequence = last?.sequence ?? 0
  if (onlyIfLast !== undefined && onlyIfLast !== lastSequence) throw new LedgerMoved(onlyIfLast, lastSequence)
  const rows: LedgerRow[] = []
  const stored: Stored[] = []
  const appended = facts.map((fact): Appended => {
    const text = factText(fact)
    const before = known.get(fact.id)
    if (before?.text === text) return { id: fact.id, status: 'known', sequence: before.sequence }
    const why = before ? SAME_ID : notStorable(fact, facility)
    if (why !== null) return { id: fact.id, status: 'refused', why }
    const entry: LedgerEntry = nextEntry(
      last,
      { ...said(incoming), facility, factId: fact.id, text },
      platformDigest,
    )
    last = entry
    known.set(fact.id, { text, sequence: entry.sequence })
    rows.push(rowOf(entry, fact))
    stored.push({ fact, sequence: entry.sequence, receivedAt: entry.receivedAt })
    return { id: fact.id, status: 'stored', sequence: entry.sequence }
  })
  const refused = appended.filter(({ status }) => status === 'refused')
  if (together && refused.length > 0) throw new NotTogether(refused)
  await insertRows(transaction, kind, rows)
  await fileUnder(transaction, facility, stored)
  return appended
}

const SAME_ID = 'another fact with this id is stored already; it was kept, this one was not'

const said = ({ receivedAt, deviceAheadMs }: Incoming) => ({ receivedAt, deviceAheadMs })

/** What a database could not find again as it was given: it holds no NUL, and half a surrogate pair turns into another sign. */
function notStorable(fact: FactEnvelope, facility: string): string | null {
  if (fact.facility !== facility) return `it is a fact of ${fact.facility}, not of ${facility}`
  const keys: (string | undefined)[] = [fact.kind, fact.by.personId, ...Object.values(fact.about)]
  const odd = keys.some((key) => key !== undefined && /[\0\p{Surrogate}]/u.test(key))
  return odd ? 'one of its keys holds a sign that cannot be stored' : null
}

async function lastEntry(transaction: Transaction<Tables>, facility: string) {
  const found = await transaction
    .selectFrom('ledger')
    .select(['sequence', 'hash'])
    .where('facility', '=', facility)
    .orderBy('sequence', 'desc')
    .limit(1)
    .executeTakeFirst()
  return found ?? null
}

async function knownTexts(
  transaction: Transaction<Tables>,
  facility: string,
  facts: readonly FactEnvelope[],
): Promise<Map<string, { text: string; sequence: number }>> {
  const known = new Map<string, { text: string; sequence: number }>()
  for (let at = 0; at < facts.length; at += IDS_AT_ONCE) {
    const ids = facts.slice(at, at + IDS_AT_ONCE).map(({ id }) => id)
    const rows = await transaction
      .selectFrom('ledger')
      .select(['fact_id', 'text', 'sequence'])
      .where('facility', '=', facility)
      .where('fact_id', 'in', ids)
      .execute()
    for (const { fact_id, text, sequence } of rows) known.set(fact_id, { text, sequence })
  }
  return known
}
