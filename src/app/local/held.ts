import { patientOf, writerOf } from './kept-entry.ts'

const HOUR_MS = 3_600_000
/** Of whom somebody charted, they keep the record at hand so long [h]. Design rule. */
export const OWN_STAYS_HOURS = 72
/** Whoever was looked at or fetched on this tablet stays as long as a shift is [h]. Design rule. */
export const LOOKED_STAYS_HOURS = 12

/**
 * Until when each patient is not to be let go because this person wrote of them, by patient [ms since 1970]. A clock that
 * was ahead holds nobody for longer than one that was right.
 */
export function staysByOwn(
  facts: readonly unknown[],
  personId: string,
  nowMs: number,
): ReadonlyMap<string, number> {
  const stays = new Map<string, number>()
  for (const fact of facts) {
    const patientId = patientOf(fact)
    if (patientId === null || writerOf(fact) !== personId) continue
    const writtenMs = Date.parse((fact as { readonly recordedAt: string }).recordedAt)
    const untilMs = Math.min(writtenMs, nowMs) + OWN_STAYS_HOURS * HOUR_MS
    stays.set(patientId, Math.max(stays.get(patientId) ?? 0, untilMs))
  }
  return stays
}

/** Until when a patient is not to be let go who is looked at or fetched now [ms since 1970]. */
export function staysByLook(nowMs: number): number {
  return nowMs + LOOKED_STAYS_HOURS * HOUR_MS
}
