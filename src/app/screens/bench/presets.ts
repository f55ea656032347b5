import { BREATHING_PATTERNS, type PatternName } from '../../../clinical/aerosol/breath.ts'
import type { BenchPatient } from './bench-state.ts'

/** What a preset sets: how and how heavy somebody of that age breathes. */
type Breathing = Pick<BenchPatient, 'tidalMl' | 'ratePerMin' | 'outPerIn' | 'weightKg'>

export type Preset = { readonly value: string; readonly label: string; readonly breathing: Breathing }

/**
 * Breath patterns by age. The patterns are those that nebulizers are tested with; the weights that go with them are
 * usual ones, from memory: places to start, the patient's own breath and weight are better.
 */
export const PRESETS: readonly Preset[] = [
  preset('adult standard', 'Adult', null),
  preset('child', 'Child', 16),
  preset('infant', 'Infant', 6),
  preset('neonate', 'Newborn', 3),
]

function preset(name: PatternName, label: string, weightKg: number | null): Preset {
  const { tidalMl, ratePerMin, inspiration, expiration } = BREATHING_PATTERNS[name]
  return {
    value: name,
    label,
    breathing: { tidalMl, ratePerMin, outPerIn: expiration / inspiration, weightKg },
  }
}

/** The preset that the patient breathes by to the letter, or null for a breath of his own. */
export function presetOf(patient: BenchPatient): string | null {
  const same = PRESETS.find(({ breathing }) =>
    (Object.keys(breathing) as (keyof Breathing)[]).every((key) => breathing[key] === patient[key]),
  )
  return same?.value ?? null
}
