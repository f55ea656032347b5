import { MEDICINE_CODES } from '../../src/chart/documents/medicine-codes.ts'
import { uuidv7 } from '../../src/chart/ids.ts'
import type { Writer } from '../../src/chart/registry.ts'
import { Door } from '../../src/exchange/receive.ts'
import { seededIds } from './facts.ts'

/** What a message feed writes by: its ids are the same in every run. */
export function feedWriter(seed: number, nowMs: () => number, facility = 'marrowby'): Writer {
  const ids = seededIds(seed, nowMs)
  return {
    facility,
    by: { personId: 'feed', role: 'system' },
    device: 'server',
    newId: () => uuidv7(ids),
    nowMs,
  }
}

/** A door with the codes that the program brings along, behind which no order is reviewed. */
export function doorFor(writer: Writer, timeZone = 'America/Chicago'): Door {
  return new Door({
    writer,
    timeZone: () => timeZone,
    codes: () => MEDICINE_CODES.defaults,
    review: () => ({ findings: [], formularyVersion: 'none' }),
  })
}
