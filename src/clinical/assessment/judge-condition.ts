import { shown } from '../lung-function/shown.ts'
import type { Comparison, Condition } from './condition.ts'
import { MEASURES, type Measure, type Snapshot, unitShown } from './measures.ts'

/** Holds, with what it was seen by; does not hold; or cannot be said, with what is missing. */
export type Judged =
  | { readonly holds: true; readonly because: readonly string[] }
  | { readonly holds: false }
  | { readonly holds: null; readonly missing: readonly string[] }

export type Findings = {
  readonly now: Snapshot
  /** The set taken before this treatment; null when there is none. */
  readonly baseline: Snapshot | null
  /** A limit by its name; undefined when it is not known for this patient. */
  readonly limit: (name: string) => number | undefined
}

const NO: Judged = { holds: false }

/**
 * Judges a condition in three ways: yes, no, cannot be said. "Any" holds as soon as one part does, whatever is
 * missing elsewhere; it is denied only when every part is.
 */
export function judge(condition: Condition, findings: Findings): Judged {
  if ('sign' in condition) return judgeSign(condition.sign, findings.now)
  if ('any' in condition) return judgeAny(condition.any.map((part) => judge(part, findings)))
  if ('all' in condition) return judgeAll(condition.all.map((part) => judge(part, findings)))
  const { measure } = condition
  const now = findings.now.values[measure]
  if (now === undefined) return { holds: null, missing: [MEASURES[measure].says] }
  if ('is' in condition) {
    const than =
      condition.value ?? (condition.limit === undefined ? undefined : findings.limit(condition.limit))
    if (than === undefined) return { holds: null, missing: [`limit ${condition.limit}`] }
    return compared(
      now,
      condition.is,
      than,
      () => `${said(measure, now)}; ${wanted(measure, condition.is, than)}`,
    )
  }
  return judgeChange(condition, now, findings.baseline?.values[measure])
}

function judgeSign(sign: string, { signs }: Snapshot): Judged {
  const seen = signs[sign]
  if (seen === undefined) return { holds: null, missing: [sign] }
  return seen ? { holds: true, because: [sign] } : NO
}

function judgeAny(parts: readonly Judged[]): Judged {
  const because = parts.flatMap((part) => (part.holds === true ? part.because : []))
  if (because.length > 0) return { holds: true, because }
  const missing = missingIn(parts)
  return missing.length > 0 ? { holds: null, missing } : NO
}

function judgeAll(parts: readonly Judged[]): Judged {
  if (parts.some(({ holds }) => holds === false)) return NO
  const missing = missingIn(parts)
  if (missing.length > 0) return { holds: null, missing }
  return { holds: true, because: parts.flatMap((part) => (part.holds === true ? part.because : [])) }
}

function missingIn(parts: readonly Judged[]): string[] {
  return parts.flatMap((part) => (part.holds === null ? part.missing : []))
}

type Change = Extract<Condition, { by: number }>

function judgeChange(condition: Change, now: number, before: number | undefined): Judged {
  const { measure, by } = condition
  if (before === undefined)
    return { holds: null, missing: [`${MEASURES[measure].says} before the treatment`] }
  const change = now - before
  const seen = `${said(measure, now)}, before ${shown(before, 1)}`
  if ('changes' in condition) {
    const unit = MEASURES[measure].unit
    return compared(
      change,
      condition.changes,
      by,
      () => `${seen}: change ${signed(change)} ${unitShown(unit)}`,
    )
  }
  const percent = (100 * change) / before
  if (!Number.isFinite(percent)) return { holds: null, missing: [`${MEASURES[measure].says} above zero`] }
  return compared(percent, condition.changesPercent, by, () => `${seen}: change ${signed(percent)} %`)
}

const TESTS: Readonly<Record<Comparison, (value: number, than: number) => boolean>> = {
  lt: (value, than) => value < than,
  le: (value, than) => value <= than,
  gt: (value, than) => value > than,
  ge: (value, than) => value >= than,
}
const WORDS: Readonly<Record<Comparison, string>> = {
  lt: 'below',
  le: 'at or below',
  gt: 'above',
  ge: 'at or above',
}

/** Compared after rounding to 1e-9, so that 36.9 − 36.4 is half a degree and not a hair more. */
function compared(value: number, is: Comparison, than: number, because: () => string): Judged {
  const settled = Math.round(value * 1e9) / 1e9
  return TESTS[is](settled, than) ? { holds: true, because: [because()] } : NO
}

function said(measure: Measure, value: number): string {
  const { says, unit } = MEASURES[measure]
  return `${says} ${shown(value, 1)} ${unitShown(unit)}`.trim()
}

function wanted(measure: Measure, is: Comparison, than: number): string {
  return `rule: ${WORDS[is]} ${shown(than, 1)} ${unitShown(MEASURES[measure].unit)}`.trim()
}

function signed(change: number): string {
  return change > 0 ? `+${shown(change, 1)}` : shown(change, 1)
}
