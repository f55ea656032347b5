import type { Side } from './question.ts'

/** Something that cannot be acted on until somebody says more. */
export type SettleItem = {
  readonly id: string
  readonly kind: 'message' | 'outgoing' | 'finding' | 'question'
  readonly title: string
  readonly what: string
  readonly why: string
  readonly sources: readonly string[]
  readonly owes: 'prescriber' | 'pharmacist' | 'therapist' | 'sender' | 'receiver'
  readonly since: string
  readonly patientId: string | null
  readonly orderId: string | null
  readonly severity: 'stop' | 'ask'
  readonly raw?: string
  /** Of a question: the facts that do not go together, as they were written. */
  readonly sides?: readonly Side[]
  /** Of a question: the visits that it is about. */
  readonly visitIds?: readonly string[]
  /** The message of ours that it is about. */
  readonly messageId?: string
}
