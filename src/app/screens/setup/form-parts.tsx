import type { DocumentProblem } from '../../../chart/documents/document-kind.ts'
import { NumberEntry } from '../../parts/number-entry.tsx'
import type { NumberRule } from '../../parts/number-rule.ts'

/** What every form of a document is given: what it holds, what is wrong with it, and where a change goes. */
export type FormProps<Content> = {
  readonly content: Content
  readonly problems: readonly DocumentProblem[]
  readonly onChange: (content: Content) => void
}

type WholeProps = {
  readonly name: string
  readonly unit: string
  readonly low?: number
  readonly high: number
  readonly decimals?: number
  readonly value: number | null
  readonly onChange: (value: number | null) => void
  readonly problem?: string | undefined
}

/** A figure of a document: no part of its range is odd, so the keypad only refuses what cannot be. */
export function DocumentNumber({
  name,
  unit,
  low = 0,
  high,
  decimals = 0,
  value,
  onChange,
  problem,
}: WholeProps) {
  const ends = { low, high }
  const rule: NumberRule = { name, unit, decimals, possible: ends, plausible: ends }
  return <NumberEntry rule={rule} value={value} onChange={(next) => onChange(next)} problem={problem} />
}
