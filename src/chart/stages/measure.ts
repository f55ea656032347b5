import type { Measure } from '../facts/measurements.ts'
import type { VisitState } from '../folds/visit.ts'
import type { BodyOf } from '../registry.ts'
import type { Demand, Stage } from './stage.ts'

type MeasuredBody = BodyOf<'measured'>

/** What must be measured, or said why not, before and after every treatment. Common practice, no source. */
export const DEMANDED: readonly { readonly measure: Measure; readonly what: string }[] = [
  { measure: 'heartRate', what: 'heart rate' },
  { measure: 'respiratoryRate', what: 'respiratory rate' },
  { measure: 'spo2', what: 'SpO2 and the oxygen it was taken on' },
  { measure: 'breathSounds', what: 'breath sounds' },
  { measure: 'workOfBreathing', what: 'work of breathing' },
]

/** Asked before a treatment only: they decide the interface. */
export const DEMANDED_BEFORE: typeof DEMANDED = [
  ...DEMANDED,
  { measure: 'consciousness', what: 'consciousness' },
  { measure: 'ability', what: 'ability to follow' },
]

/** Is there a value, or a reason why there is none? A missing value is never a zero. */
export function hasMeasure({ values, notMeasured }: MeasuredBody, measure: Measure): boolean {
  if (notMeasured.some((missing) => missing.measure === measure)) return true
  switch (measure) {
    case 'heartRate':
      return values.heartRatePerMin !== undefined
    case 'respiratoryRate':
      return values.respiratoryRatePerMin !== undefined
    case 'spo2':
      return values.spo2Percent !== undefined && values.spo2On !== undefined
    case 'breathSounds':
      return values.breathSounds !== undefined
    case 'workOfBreathing':
      return values.workOfBreathing !== undefined
    case 'dyspnea':
      return values.dyspnea0To10 !== undefined
    case 'peakFlow':
      return values.peakFlowLPerMin !== undefined || values.fev1Ml !== undefined
    case 'consciousness':
      return values.consciousness !== undefined
    case 'ability':
      return values.ability !== undefined
    case 'systolic':
      return values.systolicMmHg !== undefined
    case 'temperature':
      return values.temperatureCel !== undefined
  }
}

/** The demands of one set of measurements. */
export function measureDemands(body: MeasuredBody | null, when: 'before' | 'after'): Demand[] {
  const wanted = when === 'before' ? DEMANDED_BEFORE : DEMANDED
  return wanted.map(({ measure, what }) => ({
    code: `${when}-${measure}`,
    what: `${what}, or why not`,
    met: body !== null && hasMeasure(body, measure),
  }))
}

/** The last set of a kind that stands. */
export function lastMeasured(visit: VisitState, when: MeasuredBody['when']): MeasuredBody | null {
  return visit.measured.filter((entry) => entry.body.when === when).at(-1)?.body ?? null
}

/** A set in one line, in the order in which a therapist says it. */
export function measuredLine({ values, notMeasured }: MeasuredBody): string {
  const said: string[] = []
  if (values.heartRatePerMin !== undefined) said.push(`heart ${values.heartRatePerMin}`)
  if (values.respiratoryRatePerMin !== undefined) said.push(`breaths ${values.respiratoryRatePerMin}`)
  if (values.spo2Percent !== undefined)
    said.push(`SpO2 ${values.spo2Percent} % on ${oxygenText(values.spo2On)}`)
  if (values.peakFlowLPerMin !== undefined) {
    said.push(`PEF ${Math.max(...values.peakFlowLPerMin)} L/min (best of ${values.peakFlowLPerMin.length})`)
  }
  for (const { measure, why } of notMeasured) if (measure === 'peakFlow') said.push(`no PEF: ${why}`)
  return said.join(', ')
}

/** Oxygen in words: "2 L/min by nasal cannula", "room air". */
export function oxygenText(
  oxygen:
    | { device: string; flowLPerMin?: number | undefined; fio2Percent?: number | undefined }
    | null
    | undefined,
): string {
  if (!oxygen) return 'oxygen not recorded'
  if (oxygen.device === 'room air') return 'room air'
  const amount = [
    oxygen.flowLPerMin === undefined ? null : `${oxygen.flowLPerMin} L/min`,
    oxygen.fio2Percent === undefined ? null : `${oxygen.fio2Percent} %`,
  ].filter(Boolean)
  return amount.length === 0 ? oxygen.device : `${amount.join(', ')} by ${oxygen.device}`
}

/** The state before the treatment: without it nothing that comes after can be judged. */
export const measure: Stage = {
  name: 'measure',
  title: 'Measure',
  demands: ({ visit }) => measureDemands(lastMeasured(visit, 'before'), 'before'),
  line: ({ visit }) => {
    const body = lastMeasured(visit, 'before')
    return body ? measuredLine(body) : 'heart rate, breaths, SpO2, breath sounds, peak flow'
  },
}
