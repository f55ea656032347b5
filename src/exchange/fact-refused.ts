import type { AnyFact } from '../chart/registry.ts'

export type Made = readonly AnyFact[]

/** A fact that could not be read back: it goes beyond what its kind may hold, so it must not be made. */
export class FactRefused extends Error {
  override readonly name = 'FactRefused'
  readonly fact: AnyFact
  readonly where: string
  constructor(fact: AnyFact, problem: { readonly where: string; readonly what: string } | undefined) {
    const where = (problem?.where ?? '').replace(/^body\./, '')
    super(
      `${where.replace(/^(patch|order)\./, '')} cannot be kept: ${problem?.what ?? 'it is not as it must be'}. Nothing was made of it.`,
    )
    this.fact = fact
    this.where = where
  }
}

type Attempt =
  | { readonly ok: true; readonly made: Made }
  | { readonly ok: false; readonly refused: FactRefused }

/** What is made, or the first fact of it that must not be. */
export function attempt(make: () => Made): Attempt {
  try {
    return { ok: true, made: make() }
  } catch (error) {
    if (error instanceof FactRefused) return { ok: false, refused: error }
    throw error
  }
}
