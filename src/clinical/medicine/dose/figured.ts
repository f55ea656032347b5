import type { Source, Worked } from '../../worked.ts'
import { type Exact, toNumber } from './exact.ts'

/** An exact figure with its working: what every sum of this folder gives. */
export function figured<Unit extends string>(
  value: Exact,
  unit: Unit,
  steps: readonly string[],
  sources: readonly Source[],
  caution?: string,
): Worked<Unit> {
  return {
    value: toNumber(value),
    unit,
    steps,
    sources,
    ...(caution !== undefined && { caution }),
  }
}
