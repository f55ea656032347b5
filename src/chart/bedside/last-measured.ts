import { GLI_GLOBAL_2022, interpretSpirometry } from '../../clinical/lung-function/index.ts'
import type { Bedside } from '../../clinical/medicine/index.ts'
import { BadInput } from '../../clinical/worked.ts'
import type { Measurements } from '../facts/measurements.ts'
import type { Chart } from '../folds/chart.ts'
import { ageAt, type PatientState } from '../folds/patient.ts'

type Measured = NonNullable<Bedside['measured']>

/** Older figures than this say nothing about now [h]. Design rule. */
const FRESH_HOURS = 24

/** The newest figure of each kind that was measured of a patient in the 24 hours up to an instant, in any visit. */
export function lastMeasuredOf(chart: Chart, patient: PatientState, at: string): Measured {
  const since = new Date(Date.parse(at) - FRESH_HOURS * 3_600_000).toISOString()
  const sets = chart
    .ordersOf(patient.patientId)
    .flatMap((order) => chart.visitsOf(order.orderId))
    .flatMap(({ measured }) => measured)
    .filter((set) => set.at > since && set.at <= at)
    .sort((a, b) => (a.at < b.at ? -1 : 1))
  return Object.assign({}, ...sets.map((set) => measuredForRules(set.body.values, patient, set.at)))
}

/** One set of measurements in the figures that a rule of the formulary may ask for; absent where not measured. */
export function measuredForRules(values: Measurements, patient: PatientState, at: string): Measured {
  const fev1PercentPredicted = fev1Percent(values.fev1Ml, patient, at)
  return {
    ...(values.systolicMmHg !== undefined && { systolicMmHg: values.systolicMmHg }),
    ...(values.heartRatePerMin !== undefined && { heartRatePerMin: values.heartRatePerMin }),
    ...(values.spo2Percent !== undefined && { spo2Percent: values.spo2Percent }),
    ...(fev1PercentPredicted !== null && { fev1PercentPredicted }),
  }
}

/** Percent of predicted; null when nothing was measured or no reference covers this person. */
function fev1Percent(
  fev1Ml: number | undefined,
  { dob, sex, heightCm }: PatientState,
  at: string,
): number | null {
  const age = ageAt(dob, at)
  if (fev1Ml === undefined || age === null || heightCm === null) return null
  if (sex !== 'female' && sex !== 'male') return null
  try {
    const person = { sex, ageYears: age.years, heightCm }
    const { measured } = interpretSpirometry(
      { ...person, parameter: 'FEV1', measured: fev1Ml / 1000 },
      GLI_GLOBAL_2022,
    )
    return measured?.percentPredicted.value ?? null
  } catch (error) {
    if (error instanceof BadInput) return null
    throw error
  }
}
