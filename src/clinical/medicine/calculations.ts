import { type Calculation, calculation } from '../calculation.ts'
import { BadInput } from '../worked.ts'
import { ContinuousQuestion } from './calculation-inputs.ts'
import { cupLevel } from './continuous/cup-level.ts'
import { type CupOutput, concentrationToLoad, continuousMix, fillsOf } from './continuous/mix.ts'
import type { Answer } from './dose/dose-kinds.ts'
import { answered } from './dose/dose-kinds.ts'
import { doseCalculation, hourlyRate } from './dose-calculation.ts'
import { defaultFormulary } from './formulary/formulary.ts'
import { formularyCalculations } from './formulary-calculations.ts'
import { workingOf } from './working.ts'

const continuousCalculation: Calculation<ContinuousQuestion, Answer['result']> = calculation({
  name: 'continuous',
  purpose:
    'Continuous nebulizing: mg/mL to load, mL of drug, diluent and total, mL/h of pump, and hours until a pump-fed cup dries or overflows.',
  input: ContinuousQuestion,
  run: (asked) => {
    const answers = [loadAnswer(asked), mixAnswer(asked), levelAnswer(asked)].filter((each) => each !== null)
    return {
      result: Object.assign({}, ...answers.map(({ result }) => result)),
      working: workingOf(answers.flatMap(({ figures }) => figures)),
    }
  },
})

function outputOf(asked: ContinuousQuestion['cup_output_mL_h']): CupOutput {
  if (typeof asked === 'number') return { likelyMlPerH: asked }
  const { mean, low, high } = asked
  return {
    likelyMlPerH: mean,
    ...(low !== undefined && { lowMlPerH: low }),
    ...(high !== undefined && { highMlPerH: high }),
  }
}

function rateOf({ mg_h, weight_kg, mg_kg_h, cap_mg_h }: ContinuousQuestion) {
  return hourlyRate({ mg_per_h: mg_h, weight_kg, mg_per_kg_h: mg_kg_h, cap_mg_h })
}

function loadAnswer(asked: ContinuousQuestion): Answer {
  const rate = rateOf(asked)
  const concentration = concentrationToLoad(rate.value, outputOf(asked.cup_output_mL_h).likelyMlPerH)
  return answered({ mg_h: rate, concentration_mg_mL: concentration })
}

/** What to mix, once the stock and the hours are known. */
function mixAnswer(asked: ContinuousQuestion): Answer | null {
  const { stock_mg_mL, hours, dead_volume_mL, container_mL } = asked
  if (stock_mg_mL === undefined && hours === undefined) return null
  if (stock_mg_mL === undefined || hours === undefined) {
    const missing = stock_mg_mL === undefined ? 'stock_mg_mL' : 'hours'
    throw new BadInput(missing, undefined, 'given: what to mix needs stock_mg_mL together with hours')
  }
  const mix = continuousMix({
    mgPerH: rateOf(asked).value,
    stock: { as: 'mg/mL', mgPerMl: stock_mg_mL },
    output: outputOf(asked.cup_output_mL_h),
    hours,
    ...(dead_volume_mL !== undefined && { deadVolumeMl: dead_volume_mL }),
  })
  const fills = container_mL === undefined ? null : fillsOf(mix, container_mL)
  return answered(
    {
      drug_mL: mix.drug,
      diluent_mL: mix.diluent,
      total_mL: mix.total,
      drug_mg: mix.drugMass,
      drug_mL_h: mix.drugPerHour,
      diluent_mL_h: mix.diluentPerHour,
      pump_mL_h: mix.pump,
      leaves_cup_mg_h: mix.leavesCup,
      ...(fills && {
        fills: fills.fills,
        drug_mL_each: fills.drugEach,
        diluent_mL_each: fills.diluentEach,
      }),
    },
    { leaves_cup_range_mg_h: mix.leavesCup.spread },
  )
}

/** What becomes of the level in a pump-fed cup. */
function levelAnswer(asked: ContinuousQuestion): Answer | null {
  const { pump_mL_h, cup_start_mL, cup_capacity_mL, cup_dry_mL } = asked
  if (pump_mL_h === undefined) return null
  if (cup_start_mL === undefined || cup_capacity_mL === undefined) {
    const missing = cup_start_mL === undefined ? 'cup_start_mL' : 'cup_capacity_mL'
    throw new BadInput(
      missing,
      undefined,
      'given: pump_mL_h needs cup_start_mL and cup_capacity_mL beside it',
    )
  }
  const level = cupLevel({
    pumpMlPerH: pump_mL_h,
    outputMlPerH: outputOf(asked.cup_output_mL_h).likelyMlPerH,
    startMl: cup_start_mL,
    capacityMl: cup_capacity_mL,
    ...(cup_dry_mL !== undefined && { runsDryAtMl: cup_dry_mL }),
  })
  if (level.kind === 'level') return answered({}, { level: 'level' })
  return answered({ drift_mL_h: level.drift, after_h: level.after }, { level: level.kind })
}

/** Every calculation of the medicine subject, to be asked for by name; by the program's own formulary. */
export const MEDICINE_CALCULATIONS: readonly Calculation[] = [
  doseCalculation,
  continuousCalculation,
  ...formularyCalculations(defaultFormulary()),
]
