import { BadInput, type Range, requireWithin, type Source, type Worked } from '../worked.ts'
import data from './data/pef-equations.json' with { type: 'json' }
import { interpretSpirometry } from './interpret-spirometry.ts'
import { type MeterScale, onOneScale, type PeakFlow, READING_RANGE } from './meter-scale.ts'
import { NHANES3_1999 } from './nhanes3-1999.ts'
import { type Person, requireBody, type Sex } from './person.ts'
import { shown } from './shown.ts'
import { LUNG_SOURCES } from './sources.ts'

export const PEAK_FLOW_EQUATIONS = [
  'nhanes3-1999-pef',
  'nunn-gregg-1989',
  'polgar-1971-pef',
  'hong-kong-2013-eu',
  'china-2017',
  'uk-child-height-table-eu',
] as const
export type PeakFlowEquation = (typeof PEAK_FLOW_EQUATIONS)[number]
type OwnEquation = keyof typeof data.equations

export type PeakFlowRequest = Person & {
  readonly equation: PeakFlowEquation
  /** Only for NHANES III. */
  readonly group?: string | undefined
}

/** A predicted peak flow with the equation, version, group and scale that it stands on. */
export type PeakFlowPrediction = {
  readonly reference: {
    readonly equation: PeakFlowEquation
    readonly version: string
    readonly group: string | null
    readonly scale: MeterScale
  }
  readonly predicted: Worked<'L/min'>
  /** Null where none was published. */
  readonly lowerLimit: Worked<'L/min'> | null
}

/** The ages and heights that an equation covers. */
export function coverOf(equation: PeakFlowEquation): {
  readonly ages: Range
  readonly heights: Range | null
} {
  if (equation === 'nhanes3-1999-pef') return { ages: NHANES3_1999.ages, heights: null }
  const { ageYears, heightCm } = data.equations[equation]
  return { ages: rangeOf(ageYears, 'a'), heights: heightCm === null ? null : rangeOf(heightCm, 'cm') }
}

function rangeOf([low = Number.NaN, high = Number.NaN]: readonly number[], unit: string): Range {
  return { low, high, unit }
}

/**
 * Predicted peak expiratory flow [L/min] on the scale of its equation. Equations disagree: a man of 40 years and
 * 175 cm has 636 (Wright scale, 1989) or 595 L/min (true flow, 1999), so a result always names which.
 * @throws OutsideValidity for an age or height that the equation does not cover; BadInput for sex or group
 */
export function predictPeakFlow(request: PeakFlowRequest): PeakFlowPrediction {
  const { equation } = request
  return equation === 'nhanes3-1999-pef' ? byNhanes(request) : byOwnEquation(request, equation)
}

function byNhanes({ sex, ageYears, heightCm, group }: PeakFlowRequest): PeakFlowPrediction {
  const result = interpretSpirometry({ sex, ageYears, heightCm, group, parameter: 'PEF' }, NHANES3_1999)
  const { reference, predicted, lowerLimit } = result
  return {
    reference: {
      equation: 'nhanes3-1999-pef',
      version: reference.version,
      group: reference.group,
      scale: 'spirometric',
    },
    predicted: perMinute(predicted),
    lowerLimit: perMinute(lowerLimit),
  }
}

function perMinute(worked: Worked): Worked<'L/min'> {
  const value = worked.value * 60
  return {
    ...worked,
    value,
    unit: 'L/min',
    steps: [...worked.steps, `${shown(worked.value, 4)} L/s × 60 = ${shown(value, 1)} L/min`],
  }
}

function byOwnEquation(request: PeakFlowRequest, equation: OwnEquation): PeakFlowPrediction {
  const { sex, ageYears, heightCm, group } = request
  if (group !== undefined) throw new BadInput('group', group, `none: ${equation} takes no group`)
  const { ages, heights } = coverOf(equation)
  requireWithin('ageYears', ageYears, ages)
  if (heights) requireWithin('heightCm', heightCm, heights)
  requireBody({ sex, heightCm })
  const { version, scale, population, source } = data.equations[equation]
  const { value, step } = FORMS[equation](request)
  const predicted: Worked<'L/min'> = {
    value,
    unit: 'L/min',
    steps: [`${step} = ${shown(value, 1)} L/min`],
    sources: [LUNG_SOURCES[source as keyof typeof LUNG_SOURCES]],
    validity: `${population}, ages ${ages.low} to ${ages.high}`,
  }
  return {
    reference: { equation, version, group: null, scale: scale as MeterScale },
    predicted,
    lowerLimit: equation === 'nunn-gregg-1989' ? nunnGreggLimit(predicted, sex) : null,
  }
}

type Formed = { readonly value: number; readonly step: string }
const { 'nunn-gregg-1989': NUNN, 'hong-kong-2013-eu': HONG_KONG } = data.equations

/** The published forms; coefficients in data/pef-equations.json. */
const FORMS: Readonly<Record<OwnEquation, (person: Person) => Formed>> = {
  'nunn-gregg-1989': ({ sex, ageYears, heightCm }) => {
    const { a, b, c, d } = NUNN[sex]
    return {
      value: Math.exp(a * Math.log(ageYears) + b * ageYears + c / heightCm + d),
      step: `exp(${a} × ln ${ageYears} − ${-b} × ${ageYears} − ${-c} ÷ ${heightCm} + ${d})`,
    }
  },
  'hong-kong-2013-eu': ({ sex, ageYears, heightCm }) => {
    const { a, b, c } = HONG_KONG[sex]
    return {
      value: Math.exp(a * Math.log(heightCm) + b * ageYears + c),
      step: `exp(${a} × ln ${heightCm} + ${b} × ${ageYears} − ${-c})`,
    }
  },
  'polgar-1971-pef': (person) => byHeight('polgar-1971-pef', person),
  'china-2017': (person) => byHeight('china-2017', person),
  'uk-child-height-table-eu': ({ heightCm }) => fromTable(heightCm),
}

function byHeight(equation: 'polgar-1971-pef' | 'china-2017', { sex, heightCm }: Person): Formed {
  const { slopePerCm, intercept } = data.equations[equation][sex]
  return {
    value: slopePerCm * heightCm + intercept,
    step: `${slopePerCm} × ${heightCm} − ${-intercept}`,
  }
}

function fromTable(heightCm: number): Formed {
  const table: readonly (readonly number[])[] = data.equations['uk-child-height-table-eu'].heightCmAndLPerMin
  const above = table.find(([height = 0]) => height >= heightCm) ?? []
  const below = table.findLast(([height = 0]) => height <= heightCm) ?? []
  const [[lowCm = 0, low = 0], [highCm = 0, high = 0]] = [below, above]
  const share = highCm === lowCm ? 0 : (heightCm - lowCm) / (highCm - lowCm)
  return {
    value: low + (high - low) * share,
    step: `between ${low} L/min at ${lowCm} cm and ${high} L/min at ${highCm} cm`,
  }
}

function nunnGreggLimit(predicted: Worked<'L/min'>, sex: Sex): Worked<'L/min'> {
  const below = NUNN.belowPredictedLPerMin[sex]
  const value = predicted.value - below
  return {
    ...predicted,
    value,
    steps: [...predicted.steps, `${shown(predicted.value, 1)} − ${below} = ${shown(value, 1)} L/min`],
    sources: [...predicted.sources, LUNG_SOURCES.NUNN_GREGG_LIMITS],
  }
}

/**
 * A reading in percent of a reference flow, on one scale: whichever of the two is on the Wright scale is converted
 * when the other is not.
 * @throws OutsideValidity for a reading that no meter shows; BadInput when one of the scales is not stated
 */
export function peakFlowPercent(
  reading: PeakFlow,
  of: PeakFlow,
): { readonly percent: Worked<'%'>; readonly scale: MeterScale } {
  requireWithin('reading', reading.lPerMin, READING_RANGE)
  requireWithin('reference', of.lPerMin, READING_RANGE)
  const { first, second, scale, steps, sources, cautions } = onOneScale(reading, of)
  const value = (100 * first) / second
  const step = `100 × ${shown(first, 1)} ÷ ${shown(second, 1)} = ${shown(value, 2)} %`
  const caution = cautions.join(' ')
  const all: readonly Source[] = sources
  return {
    percent: {
      value,
      unit: '%',
      steps: [...steps, step],
      sources: all,
      ...(caution !== '' && { caution }),
    },
    scale,
  }
}
