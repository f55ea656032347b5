import type { AnyFact, BodyOf } from '../registry.ts'
import { standing } from './standing.ts'

export type HandoverState = BodyOf<'handover-written'> & {
  readonly handoverId: string
  readonly writtenAt: string
  readonly writtenBy: string
  /** Everybody who took it, by name; more than one when a unit is split. */
  readonly accepted: readonly (BodyOf<'handover-accepted'> & { readonly at: string; readonly by: string })[]
}

/** A handover and who took it; null while only an acceptance has arrived. */
export function foldHandover(handoverId: string, facts: Iterable<AnyFact>): HandoverState | null {
  const all = standing(facts)
  const written = all.filter((fact) => fact.kind === 'handover-written').at(-1)
  if (!written) return null
  const accepted = all
    .filter((fact) => fact.kind === 'handover-accepted')
    .map((fact) => ({ ...fact.body, at: fact.happenedAt, by: fact.by.personId }))
  return {
    ...written.body,
    handoverId,
    writtenAt: written.happenedAt,
    writtenBy: written.by.personId,
    accepted,
  }
}
