import type { AnyFact } from '../registry.ts'
import type { Chart } from './chart.ts'

export type QuestionKind =
  | 'dose given twice'
  | 'dose in two hands'
  | 'given and not given'
  | 'given after stop'
  | 'signed twice'
  | 'signed unseen'
  | 'corrected twice'
  | 'signed after correction'
  | 'clock wrong'
  | 'plans side by side'
  | 'pins side by side'

/** One of the facts that do not go together, as it was written. */
export type Side = {
  /** What it says, as the end of a sentence that begins with who and when: "began the treatment". */
  readonly what: string
  readonly at: string
  readonly personId: string
  readonly device: string
  /** With whom and when a visit was placed, said after `what` with the person's name and by the hospital's clock. */
  readonly placed?: { readonly personId: string; readonly startAt: string | null }
}

/** Two facts that cannot both be the whole truth: both are kept and shown, and a person is asked. */
export type Question = {
  readonly id: string
  readonly kind: QuestionKind
  readonly title: string
  readonly what: string
  readonly sides: readonly Side[]
  /** When the later of them was written, by the clock of who wrote it. */
  readonly since: string
  readonly patientId: string | null
  readonly orderId: string | null
  readonly visitIds: readonly string[]
}

/** What a question is about; `key` tells it from others of its kind: settled, only this one is. */
type Of = Pick<Question, 'patientId' | 'orderId' | 'visitIds'> & { readonly key: string }

/** Puts a question together. */
export function ask(
  kind: QuestionKind,
  of: Of,
  sides: readonly Side[],
  words: Pick<Question, 'title' | 'what'>,
): Question {
  const { key, ...about } = of
  const since =
    sides
      .map(({ at }) => at)
      .toSorted()
      .at(-1) ?? ''
  return { id: `question:${kind}:${key}`, kind, since, sides, ...about, ...words }
}

/** A fact as one side of a question. */
export function side(fact: Pick<AnyFact, 'happenedAt' | 'by' | 'device'>, what: string): Side {
  return { what, at: fact.happenedAt, personId: fact.by.personId, device: fact.device }
}

/** An instant that a fact names, by the server's clock: what the device was ahead is taken off. */
export function trueInstant(chart: Chart, factId: string, at: string): string {
  const aheadMs = chart.deviceAheadMs(factId) ?? 0
  return aheadMs === 0 ? at : new Date(Date.parse(at) - aheadMs).toISOString()
}
