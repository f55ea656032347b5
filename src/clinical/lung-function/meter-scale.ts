import { BadInput, type Range, requireWithin, type Source, type Worked } from '../worked.ts'
import data from './data/pef-equations.json' with { type: 'json' }
import { shown } from './shown.ts'
import { LUNG_SOURCES } from './sources.ts'

export const METER_SCALES = ['EU', 'ATS', 'spirometric', 'Wright', 'not stated'] as const
/** What the marks of a peak-flow meter mean. EU, ATS and spirometric are true flow; Wright is the older scale. */
export type MeterScale = (typeof METER_SCALES)[number]

/** A peak flow and the scale that it is on: the one is nothing without the other. */
export type PeakFlow = { readonly lPerMin: number; readonly scale: MeterScale }

const [lowest = 0, highest = 0] = data.wrightToEu.rangeLPerMin
/** Readings that the conversion covers. */
export const WRIGHT_RANGE: Range = { low: lowest, high: highest, unit: 'L/min' }

/** What a peak-flow meter can be read at. Design rule. */
export const READING_RANGE: Range = { low: 1, high: 1000, unit: 'L/min' }

/**
 * A Wright-scale reading on the EU scale [L/min].
 * @throws OutsideValidity outside WRIGHT_RANGE
 */
export function wrightToEu(wrightLPerMin: number): Worked<'L/min'> {
  requireWithin('wrightLPerMin', wrightLPerMin, WRIGHT_RANGE)
  const [t0 = 0, t1 = 0, t2 = 0, t3 = 0] = data.wrightToEu.terms
  const eu = t0 + t1 * wrightLPerMin + t2 * wrightLPerMin ** 2 + t3 * wrightLPerMin ** 3
  const w = shown(wrightLPerMin, 1)
  return {
    value: eu,
    unit: 'L/min',
    steps: [`EU = 50.356 + 0.4 × ${w} + 0.0008814 × ${w}² − 0.0000001116 × ${w}³ = ${shown(eu, 1)} L/min`],
    sources: [LUNG_SOURCES.WRIGHT_TO_EU],
    validity: `Wright-scale readings of ${lowest} to ${highest} L/min`,
    caution: 'The conversion is known from memory.',
  }
}

/** Two flows made comparable, with what was done to them. */
export type OnOneScale = {
  readonly first: number
  readonly second: number
  readonly scale: MeterScale
  readonly steps: readonly string[]
  readonly sources: readonly Source[]
  readonly cautions: readonly string[]
}

/**
 * Two peak flows on one scale: true-flow scales stand as they are, Wright becomes EU when the other is not Wright,
 * and a flow whose scale nobody stated is compared only with another of that kind, with a caution.
 * @throws BadInput when one scale is stated and the other is not; OutsideValidity outside the conversion's range
 */
export function onOneScale(first: PeakFlow, second: PeakFlow): OnOneScale {
  const same = { first: first.lPerMin, second: second.lPerMin, scale: first.scale, steps: [], sources: [] }
  if (first.scale === second.scale) {
    return { ...same, cautions: first.scale === 'not stated' ? [SCALE_NOT_STATED] : [] }
  }
  if (first.scale === 'not stated' || second.scale === 'not stated') {
    const stated = first.scale === 'not stated' ? second.scale : first.scale
    const allowed = METER_SCALES.filter((scale) => scale !== 'not stated').join(', ')
    throw new BadInput('scale', 'not stated', `${allowed}: the other flow is on the ${stated} scale`)
  }
  if (first.scale !== 'Wright' && second.scale !== 'Wright') return { ...same, cautions: [] }
  const converted = [first, second].map((flow) => (flow.scale === 'Wright' ? wrightToEu(flow.lPerMin) : null))
  const [firstEu, secondEu] = converted
  return {
    first: firstEu?.value ?? first.lPerMin,
    second: secondEu?.value ?? second.lPerMin,
    scale: 'EU',
    steps: converted.flatMap((worked) => worked?.steps ?? []),
    sources: [LUNG_SOURCES.WRIGHT_TO_EU],
    cautions: [
      'Wright and true-flow scales met: compared on the EU scale, by a conversion known from memory.',
    ],
  }
}

const SCALE_NOT_STATED = 'The scale of the meter is not stated: compare only readings of one meter.'
