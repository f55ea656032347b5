import type { Finding } from '../../clinical/medicine/index.ts'

/** Something the chart or a rule says that a person must answer before going on; a note wants no answer. */
export type BedsideFinding = {
  readonly code: string
  readonly severity: 'stop' | 'ask' | 'caution' | 'note'
  readonly what: string
  readonly why: string
  /** One line a source, with how well it stands. */
  readonly sources: readonly string[]
}

/** A finding of the medicine room as the bedside shows it. */
export function bedsideFinding({ code, severity, what, why, sources }: Finding): BedsideFinding {
  return { code, severity, what: sentence(what), why: sentence(why), sources }
}

/** A text as a sentence: a capital first, a full stop at the end. */
export function sentence(text: string): string {
  const trimmed = text.trim()
  const capital = trimmed.charAt(0).toUpperCase() + trimmed.slice(1)
  return /[.!?]$/.test(capital) || capital === '' ? capital : `${capital}.`
}
