import { type Range, requireWithin, type Worked } from '../worked.ts'
import { GLI_GLOBAL_2022 } from './gli-global-2022.ts'
import type { Person } from './person.ts'
import {
  type Parameter,
  type Prediction,
  type ReferenceSystem,
  type SystemName,
  type Unit,
  unitIn,
} from './reference-system.ts'
import { gradeByZ } from './severity.ts'
import { shown } from './shown.ts'
import { LUNG_SOURCES } from './sources.ts'

/** Which yardstick a result was held against: kept with it, since another yardstick gives another result. */
export type Reference = { readonly system: SystemName; readonly version: string; readonly group: string }

export type SpirometryRequest = Person & {
  readonly parameter: Parameter
  /** Only where the system has several groups. */
  readonly group?: string | undefined
  /** In the unit of the system: see `unitIn`. */
  readonly measured?: number | undefined
}

/** What was measured, against the reference. */
export type Measured = {
  readonly percentPredicted: Worked<'%'>
  readonly z: Worked<'1'>
  readonly belowLowerLimit: boolean
  /** By z-score: normal, mild, moderate or severe. */
  readonly grade: string
}

export type SpirometryResult = {
  readonly reference: Reference
  readonly parameter: Parameter
  readonly unit: Unit
  readonly zKind: Prediction['zKind']
  readonly extrapolated: boolean
  readonly predicted: Worked<Unit>
  readonly lowerLimit: Worked<Unit>
  /** Null when nothing was measured. */
  readonly measured: Measured | null
}

/** What a measured value can be at all, by unit: keeps out mL for L, L/min for L/s, percent for a fraction. Design rule. */
export const MEASURABLE: Readonly<Record<Unit, Range>> = {
  L: { low: 0.05, high: 12, unit: 'L' },
  'L/s': { low: 0.1, high: 25, unit: 'L/s' },
  '%': { low: 5, high: 100, unit: '%' },
  '1': { low: 0.05, high: 1, unit: '(fraction)' },
}

/**
 * Predicted value, lower limit of normal (5th percentile) and, for a measured value, percent of predicted, z-score
 * and severity, by one reference system; GLI Global 2022 when none is named.
 * @throws OutsideValidity for an age, a height or a measured value outside what is covered; BadInput for the rest
 */
export function interpretSpirometry(
  request: SpirometryRequest,
  system: ReferenceSystem = GLI_GLOBAL_2022,
): SpirometryResult {
  const { parameter, measured } = request
  const unit = unitIn(system, parameter)
  const prediction = system.predict(request, parameter, request.group)
  if (measured !== undefined) requireWithin('measured', measured, MEASURABLE[unit])
  const { steps, zKind, extrapolated } = prediction
  const worked = workedBy(prediction, validity(system, prediction.group))
  return {
    reference: { system: system.name, version: system.version, group: prediction.group },
    parameter,
    unit,
    zKind,
    extrapolated,
    predicted: worked(prediction.predicted, unit, steps.predicted),
    lowerLimit: worked(prediction.lowerLimit, unit, steps.lowerLimit),
    measured: measured === undefined ? null : against(prediction, measured, worked),
  }
}

function validity({ name, ages }: ReferenceSystem, group: string): string {
  return `${name}, group ${group}, ages ${ages.low} to ${ages.high} ${ages.unit}`
}

type Work = <U extends string>(value: number, unit: U, steps: readonly string[]) => Worked<U>

function workedBy({ sources, cautions }: Prediction, covers: string): Work {
  const caution = cautions.join(' ')
  return (value, unit, steps) => ({
    value,
    unit,
    steps,
    sources,
    validity: covers,
    ...(caution !== '' && { caution }),
  })
}

function against(prediction: Prediction, measured: number, worked: Work): Measured {
  const { predicted, lowerLimit, zKind } = prediction
  const percent = (100 * measured) / predicted
  const z = prediction.z(measured)
  const zWorked = worked(z, '1', prediction.steps.z(measured))
  const ratio = `100 × ${measured} ÷ ${shown(predicted, 4)} = ${shown(percent, 2)} %`
  return {
    percentPredicted: worked(percent, '%', [...prediction.steps.predicted, ratio]),
    z: {
      ...zWorked,
      sources: [
        ...zWorked.sources,
        ...(zKind === 'derived' ? [LUNG_SOURCES.PSEUDO_Z] : []),
        LUNG_SOURCES.ERS_ATS_2022,
      ],
    },
    belowLowerLimit: measured < lowerLimit,
    grade: gradeByZ(z),
  }
}
