import type { AnyFact, BodyOf } from '../registry.ts'

/** A message of ours as it stands. `refused`, `not answered` and `not written` wait for a person. */
export type OutgoingState = BodyOf<'message-composed'> & {
  readonly messageId: string
  readonly patientId: string
  readonly orderId: string
  readonly at: string
  readonly state: 'waiting' | 'taken' | 'refused' | 'not answered' | 'not written'
  /** Why it is not taken, in words; empty while it waits. */
  readonly why: string
  /** A person asked for it to be written and sent anew. */
  readonly isAskedAgain: boolean
}

/** Facts about one message to what became of it; null for a message that came from outside. */
export function foldOutgoing(facts: Iterable<AnyFact>): OutgoingState | null {
  const all = [...facts]
  const composed = all.find((fact) => fact.kind === 'message-composed')
  if (!composed) return null
  const answers = all.filter((fact) => fact.kind === 'message-answered')
  // Two servers may each have had an answer; that it was taken cannot be undone by a later doubt.
  const answered = answers.find(({ body }) => body.outcome === 'taken') ?? answers[0]
  const { problem } = composed.body
  return {
    ...composed.body,
    messageId: composed.about.messageId ?? composed.id,
    patientId: composed.about.patientId ?? '',
    orderId: composed.about.orderId ?? '',
    at: composed.happenedAt,
    state: problem !== null ? 'not written' : (answered?.body.outcome ?? 'waiting'),
    why: problem ?? answered?.body.why ?? '',
    isAskedAgain: all.some((fact) => fact.kind === 'item-settled' && fact.body.how === 'sent-again'),
  }
}

/** Was it given up, so that somebody must see to it? */
export function isGivenUp({ state }: Pick<OutgoingState, 'state'>): boolean {
  return state !== 'waiting' && state !== 'taken'
}
