import type { AnyFact, BodyOf } from '../registry.ts'

/** A message from outside as it was kept. */
export type MessageState = BodyOf<'message-received'> & { readonly messageId: string; readonly at: string }

/** Did anything in it stay undone? Refused messages, and messages of which a part could not be used. */
export function isUnsettled(message: MessageState): boolean {
  return message.problems.length > 0 || (message.answer !== null && message.answer.code !== 'AA')
}

export function messageState(fact: Extract<AnyFact, { kind: 'message-received' }>): MessageState {
  return { ...fact.body, messageId: fact.about.messageId ?? fact.id, at: fact.happenedAt }
}
