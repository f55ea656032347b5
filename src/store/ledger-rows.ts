import type { LedgerEntry } from '../chart/chain.ts'
import type { FactEnvelope } from '../chart/fact.ts'
import type { LedgerRow } from './schema.ts'

/** The columns of an entry: the entry itself, and by what it is found. */
export function rowOf(entry: LedgerEntry, fact: FactEnvelope): LedgerRow {
  return {
    facility: entry.facility,
    sequence: entry.sequence,
    fact_id: entry.factId,
    kind: fact.kind,
    patient_id: fact.about.patientId ?? null,
    order_id: fact.about.orderId ?? null,
    visit_id: fact.about.visitId ?? null,
    person_id: fact.by.personId,
    happened_at: fact.happenedAt,
    received_at: entry.receivedAt,
    device_ahead_ms: entry.deviceAheadMs,
    text: entry.text,
    previous_hash: entry.previousHash,
    hash: entry.hash,
  }
}

export function entryOf(row: LedgerRow): LedgerEntry {
  return {
    facility: row.facility,
    sequence: row.sequence,
    factId: row.fact_id,
    receivedAt: row.received_at,
    deviceAheadMs: row.device_ahead_ms,
    text: row.text,
    previousHash: row.previous_hash,
    hash: row.hash,
  }
}
