import type { Who } from '../formulary/when.ts'
import type { Holds } from './situation.ts'

/** Whether a statement about an age or a weight is about this patient; unknown when what it asks for is not known. */
export function matches(
  who: Who | undefined,
  { ageDays, weightKg }: { readonly ageDays: number | null; readonly weightKg: number | null },
): Holds {
  const answers = [
    within(ageDays, who?.fromDays, who?.belowDays),
    within(weightKg, who?.fromKg, who?.belowKg),
  ]
  if (answers.includes('no')) return 'no'
  return answers.includes('unknown') ? 'unknown' : 'yes'
}

function within(value: number | null, from: number | undefined, below: number | undefined): Holds {
  if (from === undefined && below === undefined) return 'yes'
  if (value === null) return 'unknown'
  const inside = (from === undefined || value >= from) && (below === undefined || value < below)
  return inside ? 'yes' : 'no'
}
