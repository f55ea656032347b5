import { z } from 'zod'
import { type Calculation, calculation } from '../calculation.ts'
import { BadInput } from '../worked.ts'
import { continuousMix } from './continuous/mix.ts'
import {
  doseByWeight,
  hourlyByWeight,
  hourlyFromMicrograms,
  type Limits,
  pumpSpeed,
  volumeByWeight,
} from './dose/by-weight.ts'
import { type Answer, answered, type DoseKind, doseKind, PLAIN_KINDS } from './dose/dose-kinds.ts'
import { diluteToFill } from './dose/fill.ts'
import { massInVolume } from './dose/volume-and-mass.ts'
import { SOURCES } from './sources.ts'
import { workingOf } from './working.ts'

const number = z.number()

/** Kinds that start from the patient's weight or run by the hour. */
const WEIGHT_KINDS: readonly DoseKind[] = [
  doseKind(
    'weight-based',
    {
      weight_kg: number,
      mg_per_kg: number,
      min_mg: number.optional(),
      max_mg: number.optional(),
      concentration_mg_per_mL: number,
      target_fill_mL: number,
    },
    (given) => {
      const dose = doseByWeight(given.weight_kg, given.mg_per_kg, limits(given.min_mg, given.max_mg))
      const stock = { as: 'mg/mL', mgPerMl: given.concentration_mg_per_mL } as const
      const made = diluteToFill(dose.given.value, stock, given.target_fill_mL)
      return answered(
        {
          calculated_mg: dose.calculated,
          given_mg: dose.given,
          drug_mL: made.drug,
          diluent_mL: made.diluent,
        },
        { limit_applied: dose.given.steps.at(-1) },
      )
    },
  ),
  doseKind(
    'weight-based-volume',
    {
      weight_kg: number,
      mL_per_kg: number,
      min_mL: number.optional(),
      max_mL: number.optional(),
      concentration_mg_per_mL: number,
    },
    (given) => {
      const volume = volumeByWeight(given.weight_kg, given.mL_per_kg, limits(given.min_mL, given.max_mL))
      const mg = massInVolume(volume.given.value, { as: 'mg/mL', mgPerMl: given.concentration_mg_per_mL })
      const limit_applied = volume.limit === 'within' ? 'none' : volume.limit
      return answered({ calculated_mL: volume.calculated, given_mL: volume.given, mg }, { limit_applied })
    },
  ),
  doseKind(
    'mcg-per-kg-per-min',
    { mcg_kg_min: number, weight_kg: number, concentration_mg_per_mL: number },
    ({ mcg_kg_min, weight_kg, concentration_mg_per_mL }) => {
      const rate = hourlyFromMicrograms(weight_kg, mcg_kg_min)
      const pump = pumpSpeed(rate.value, concentration_mg_per_mL)
      return answered({ rate_mg_per_h: rate, pump_mL_per_h: pump })
    },
  ),
  doseKind(
    'continuous',
    {
      mg_per_h: number.optional(),
      weight_kg: number.optional(),
      mg_per_kg_h: number.optional(),
      cap_mg_h: number.optional(),
      hours: number,
      concentrate_mg_per_mL: number,
      nebuliser_output_mL_per_h: number,
    },
    (given) => {
      const rate = hourlyRate(given)
      const mix = continuousMix({
        mgPerH: rate.value,
        stock: { as: 'mg/mL', mgPerMl: given.concentrate_mg_per_mL },
        output: { likelyMlPerH: given.nebuliser_output_mL_per_h },
        hours: given.hours,
      })
      return answered({
        rate_mg_per_h: rate,
        drug_mg: mix.drugMass,
        drug_mL: mix.drug,
        total_mL: mix.total,
        diluent_mL: mix.diluent,
        reservoir_mg_per_mL: mix.concentration,
        concentrate_mL_per_h: mix.drugPerHour,
      })
    },
  ),
]

type HourlyFields = {
  readonly mg_per_h?: number | undefined
  readonly weight_kg?: number | undefined
  readonly mg_per_kg_h?: number | undefined
  readonly cap_mg_h?: number | undefined
}

/**
 * The hourly dose, stated or by weight: one of the two, never both.
 * @throws BadInput when both or neither are given, or a figure cannot be used
 */
export function hourlyRate({ mg_per_h, weight_kg, mg_per_kg_h, cap_mg_h }: HourlyFields) {
  if (mg_per_h !== undefined && mg_per_kg_h === undefined && cap_mg_h === undefined) {
    const steps = [`ordered: ${mg_per_h} mg/h`]
    return { value: mg_per_h, unit: 'mg/h' as const, steps, sources: [SOURCES.definition] }
  }
  if (mg_per_h === undefined && weight_kg !== undefined && mg_per_kg_h !== undefined) {
    return hourlyByWeight(weight_kg, mg_per_kg_h, limits(undefined, cap_mg_h)).given
  }
  throw new BadInput(
    'dose rate',
    'both ways or neither',
    'mg_per_h by itself, or weight_kg with mg_per_kg_h and, if there is one, cap_mg_h',
  )
}

function limits(atLeast: number | undefined, atMost: number | undefined): Limits {
  return { ...(atLeast !== undefined && { atLeast }), ...(atMost !== undefined && { atMost }) }
}

const KINDS: readonly DoseKind[] = [...PLAIN_KINDS, ...WEIGHT_KINDS]
const byName = new Map(KINDS.map((kind) => [kind.kind, kind]))
/** The names of the kinds of question that `dose` answers. */
export const DOSE_KINDS: readonly string[] = [...byName.keys()].sort()

type DoseQuestion = { readonly kind: string }

type Input = DoseKind['input']
/** Fields are checked for the kind that is asked for; unknown ones are refused. */
const DoseInput = z.discriminatedUnion('kind', KINDS.map(({ input }) => input) as [Input, ...Input[]])

/** Any of the dose and dilution sums, asked for by kind. */
export const doseCalculation: Calculation<DoseQuestion, Answer['result']> = calculation({
  name: 'dose',
  purpose:
    'Doses, volumes and dilutions: mg, mL, mg/mL or percent, by the kind of question; a kind named refuse tells why something cannot be done.',
  input: DoseInput,
  run: (given) => {
    const kind = byName.get(given.kind)
    if (!kind) throw new BadInput('kind', given.kind, DOSE_KINDS.join(', '))
    const { result, figures, why } = kind.answer(given)
    return { result, working: why ?? workingOf(figures) }
  },
})
