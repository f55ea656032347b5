import type { z } from 'zod'
import type { Source } from './worked.ts'

/**
 * A calculation that can be asked for by name, with JSON in and JSON out: from a terminal, over HTTP, or from a
 * test that replays somebody else's check values. Every subject lists its own in a `calculations.ts`.
 */
export type Calculation<Input = unknown, Output = unknown> = {
  readonly name: string
  /** One sentence: what it gives, in which unit. */
  readonly purpose: string
  /** Refuses unknown fields (z.strictObject), so that a misspelt field is told, not ignored. */
  readonly input: z.ZodType<Input>
  /**
   * @throws BadInput or OutsideValidity for values it cannot use
   */
  run(input: Input): { readonly result: Output; readonly working: Working }
}

/** What `--working` adds to a result. */
export type Working = {
  readonly steps: readonly string[]
  readonly sources: readonly Source[]
  readonly cautions: readonly string[]
}

/** Ties a calculation's input type to its schema without naming the type twice. */
export function calculation<Input, Output>(
  definition: Calculation<Input, Output>,
): Calculation<Input, Output> {
  return definition
}
