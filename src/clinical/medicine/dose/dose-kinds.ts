import { z } from 'zod'
import type { Working } from '../../calculation.ts'
import { BadInput, type Worked } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import { countUnits, dosePerBreaths, inVials } from './counts.ts'
import { dilution, percentAfterAdding, sameDrugInStock } from './dilution.ts'
import { diluteToFill, unitDosesPlusDiluent } from './fill.ts'
import { measuredVolume } from './measured-volume.ts'
import { readStrength } from './read-strength.ts'
import { reasonsToRefuse } from './refusal.ts'
import { massOfMolar, mgFromMcg, saltFromBase } from './salt-and-molar.ts'
import { strengthMgPerMl, strengthPercent } from './strength.ts'
import { massInVolume, volumeToDraw } from './volume-and-mass.ts'

/** A result under the names that check files use, and the figures it is made of. */
export type Answer = {
  readonly result: Readonly<Record<string, unknown>>
  readonly figures: readonly Worked[]
  /** In place of the figures' own, where the answer is a verdict and no figure. */
  readonly why?: Working
}

/** One kind of dose question: what it is given, and how it is answered. */
export type DoseKind = {
  readonly kind: string
  readonly input: z.ZodObject<{ kind: z.ZodLiteral<string> }, z.core.$strict>
  readonly answer: (given: unknown) => Answer
}

/** Ties a kind's name to its fields; unknown fields are refused. */
export function doseKind<Shape extends z.ZodRawShape>(
  kind: string,
  shape: Shape,
  answer: (given: z.infer<z.ZodObject<Shape>>) => Answer,
): DoseKind {
  const input = z.strictObject({ ...shape, kind: z.literal(kind) }) as unknown as DoseKind['input']
  return { kind, input, answer: (given) => answer(given as z.infer<z.ZodObject<Shape>>) }
}

/** Turns named figures into an answer. */
export function answered(
  figures: Readonly<Record<string, Worked>>,
  more: Record<string, unknown> = {},
): Answer {
  const values = Object.entries(figures).map(([name, { value }]) => [name, value])
  return { result: { ...Object.fromEntries(values), ...more }, figures: Object.values(figures) }
}

const number = z.number()
const text = z.string()

/** The vial of the ipratropium and albuterol combination, US label (0.5 mg and 2.5 mg of base in 3 mL). */
const COMBINATION_VIAL = [
  { name: 'ipratropium', amountMg: 0.5 },
  { name: 'albuterol', amountMg: 2.5 },
] as const

/** Kinds of question about strength, volume, counts, salts and what cannot be done. */
export const PLAIN_KINDS: readonly DoseKind[] = [
  doseKind('percent-to-mg-per-mL', { percent_w_v: number }, ({ percent_w_v }) =>
    answered({ mg_per_mL: strengthMgPerMl({ as: 'percent', percent: percent_w_v }) }),
  ),
  doseKind('ratio-to-mg-per-mL', { ratio: text }, ({ ratio }) => {
    const strength = readStrength(ratio)
    if (strength.as !== 'ratio') throw new BadInput('ratio', ratio, 'a strength written as 1:n')
    return answered({ mg_per_mL: strengthMgPerMl(strength), percent_w_v: strengthPercent(strength) })
  }),
  doseKind('volume-to-mg', { strength: text, volume_mL: number }, ({ strength, volume_mL }) =>
    answered({ mg: massInVolume(volume_mL, readStrength(strength)) }),
  ),
  doseKind('mg-to-volume', { strength: text, dose_mg: number }, ({ strength, dose_mg }) =>
    answered({ mL: volumeToDraw(dose_mg, readStrength(strength)) }),
  ),
  doseKind('units', { strength: text, dose_mcg: number }, ({ strength, dose_mcg }) => {
    const dose = mgFromMcg(dose_mcg)
    const volume = volumeToDraw(dose.value, readStrength(strength))
    return answered({ mL: { ...volume, steps: [...dose.steps, ...volume.steps] } })
  }),
  doseKind('reconstitute', { mg: number, mL: number }, ({ mg, mL }) =>
    answered({ mg_per_mL: strengthMgPerMl({ as: 'reconstituted', amountMg: mg, finalMl: mL }) }),
  ),
  doseKind('molar', { mmol_per_L: number, mL: number, mw: number }, ({ mmol_per_L, mL, mw }) =>
    answered({ mg: massOfMolar(mL, mmol_per_L, mw) }),
  ),
  doseKind(
    'salt-base',
    { base_mg: number, mw_base: number, mw_sulfate_2to1: number },
    ({ base_mg, mw_base, mw_sulfate_2to1 }) =>
      answered({ sulfate_mg: saltFromBase(base_mg, mw_base, mw_sulfate_2to1) }),
  ),
  doseKind('daily-total', { vials: number }, ({ vials }) =>
    answered(
      Object.fromEntries(inVials(vials, COMBINATION_VIAL).map(({ name, total }) => [`${name}_mg`, total])),
    ),
  ),
  doseKind(
    'dilute-to-fill',
    { dose_mg: number, concentration_mg_per_mL: number, target_fill_mL: number },
    ({ dose_mg, concentration_mg_per_mL, target_fill_mL }) => {
      const made = diluteToFill(dose_mg, { as: 'mg/mL', mgPerMl: concentration_mg_per_mL }, target_fill_mL)
      return answered({ drug_mL: made.drug, diluent_mL: made.diluent, final_mg_per_mL: made.final })
    },
  ),
  doseKind(
    'unit-doses-plus-diluent',
    { units: z.array(z.strictObject({ name: text, volume_mL: number })), target_fill_mL: number },
    ({ units, target_fill_mL }) => {
      const poured = units.map(({ name, volume_mL }) => ({ name, volumeMl: volume_mL }))
      const { drug, diluent } = unitDosesPlusDiluent(poured, target_fill_mL)
      return answered({ drug_volume_mL: drug, diluent_mL: diluent })
    },
  ),
  doseKind(
    'dilution',
    { c1_percent: number, v1_mL: number, c2_percent: number },
    ({ c1_percent, v1_mL, c2_percent }) => {
      const { total, add } = dilution(c1_percent, v1_mL, c2_percent)
      return answered({ total_mL: total, add_mL: add })
    },
  ),
  doseKind(
    'dilution-by-water',
    { v1_mL: number, c1_percent: number, added_mL: number },
    ({ v1_mL, c1_percent, added_mL }) =>
      answered({ percent: percentAfterAdding(v1_mL, c1_percent, added_mL) }),
  ),
  doseKind(
    'substitute-strength',
    { ordered_mL: number, ordered_percent: number, stock_percent: number },
    ({ ordered_mL, ordered_percent, stock_percent }) =>
      answered({ stock_mL: sameDrugInStock(ordered_mL, ordered_percent, stock_percent) }),
  ),
  doseKind('count-units', countFields(), (given) => countAnswer(given)),
  doseKind(
    'measurable-volume',
    { dose_mg: number, concentration_mg_per_mL: number, graduation_mL: number },
    ({ dose_mg, concentration_mg_per_mL, graduation_mL }) => {
      const drawn = measuredVolume(
        dose_mg,
        { as: 'mg/mL', mgPerMl: concentration_mg_per_mL },
        { graduationMl: graduation_mL },
      )
      return answered({
        exact_mL: drawn.exact,
        measured_mL: drawn.measured,
        measured_mg: drawn.measuredDose,
        dose_error_percent: toFourDecimals(drawn.doseError),
      })
    },
  ),
  doseKind(
    'refuse',
    {
      units_mL: z.array(number).optional(),
      target_fill_mL: number.optional(),
      dose: z.union([text, number]).optional(),
      dose_mg: number.optional(),
      max_single_mg: number.optional(),
      drug: text.optional(),
      strength: text.optional(),
      mL_per_kg: number.optional(),
    },
    (given) => {
      const reasons = reasonsToRefuse({
        unitsMl: given.units_mL,
        targetFillMl: given.target_fill_mL,
        dose: given.dose,
        doseMg: given.dose_mg,
        maxSingleMg: given.max_single_mg,
        drug: given.drug,
        strength: given.strength,
        mlPerKg: given.mL_per_kg,
      })
      const reason = reasons.length > 0 ? reasons.join('; ') : null
      return { result: { refused: reason !== null, reason }, figures: [], why: whyRefused(given, reasons) }
    },
  ),
]

/** What was looked at, and every reason found; a verdict and no figure. */
function whyRefused(given: Readonly<Record<string, unknown>>, reasons: readonly string[]): Working {
  const { kind: _, ...fields } = given
  const looked = Object.entries(fields).map(([name, value]) => `${name} ${String(value)}`)
  const steps = reasons.length > 0 ? reasons : [`nothing in ${looked.join(', ')} speaks against it`]
  return { steps, sources: [SOURCES.definition, SOURCES['order-rules']], cautions: [] }
}

/** A dose error is given to four decimals of a percent, as check files print it; the steps hold the rest. */
function toFourDecimals(figure: Worked): Worked {
  return { ...figure, value: Number(figure.value.toFixed(4)) }
}

function countFields() {
  return {
    dose_mcg: number.optional(),
    unit_mcg: number.optional(),
    unit_mL: number.optional(),
    breaths: number.optional(),
    mcg_per_breath: number.optional(),
    times_per_day: number.optional(),
  }
}

/** Counts unit doses or breaths: whichever the fields are about, all three of them and none of the others. */
function countAnswer(given: z.infer<z.ZodObject<ReturnType<typeof countFields>>>): Answer {
  const { dose_mcg, unit_mcg, unit_mL, breaths, mcg_per_breath, times_per_day } = given
  const all = { dose_mcg, unit_mcg, unit_mL, breaths, mcg_per_breath, times_per_day }
  const named = Object.entries(all).flatMap(([name, value]) => (value === undefined ? [] : [name]))
  const three = named.length === 3
  if (three && dose_mcg !== undefined && unit_mcg !== undefined && unit_mL !== undefined) {
    const { units, volume } = countUnits(dose_mcg, unit_mcg, unit_mL)
    return answered({ units, volume_mL: volume })
  }
  if (three && breaths !== undefined && mcg_per_breath !== undefined && times_per_day !== undefined) {
    const { perTime, perDay } = dosePerBreaths(breaths, mcg_per_breath, times_per_day)
    return answered({ mcg_per_time: perTime, mcg_per_day: perDay })
  }
  throw new BadInput(
    'count',
    named.join(', '),
    'dose_mcg, unit_mcg and unit_mL for unit doses; or breaths, mcg_per_breath and times_per_day for breaths',
  )
}
