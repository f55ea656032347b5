import type { BedsideValues } from '../assessment/bedside-values.ts'
import { BadInput, requireWithin } from '../worked.ts'

/** What was found at one look, before or after a treatment. */
export type Look = BedsideValues & {
  /** Percent of personal best, or of predicted. */
  readonly peakFlowPercent?: number | undefined
  /** More oxygen than the patient has at home or had before this illness; on room air by habit: any oxygen. */
  readonly moreOxygenThanUsual?: boolean | undefined
  readonly ability?: string | undefined
}

/** A treatment that was due, or was given as needed. */
export type PastTreatment = {
  /** When it was given, or was to be given: an instant with offset. */
  readonly at: string
  /** As needed, not by the clock. */
  readonly prn: boolean
  readonly given: boolean
  readonly reasonNotGiven?: string | undefined
  readonly before: Look | null
  readonly after: Look | null
  /** Stop rules that spoke, by id. */
  readonly stopRules?: readonly string[] | undefined
}

export const ORDER_KINDS = ['rescue bronchodilator', 'controller', 'other'] as const
export const DEVICES = [
  'nebulizer with mouthpiece',
  'nebulizer with mask',
  'inhaler with spacer',
  'other',
] as const

/** The order as it stands. It is read, never written. */
export type OrderInForce = {
  readonly title: string
  readonly kind: (typeof ORDER_KINDS)[number]
  /** Null for as needed only, or continuous. */
  readonly everyMinutes: number | null
  readonly asNeeded: boolean
  readonly device: (typeof DEVICES)[number]
  /** The shortest interval that the order allows without a new one. */
  readonly shortestMinutes?: number | undefined
  /** What the patient takes at home; nothing is proposed below it. */
  readonly homeEveryMinutes?: number | undefined
}

/** One order and what became of it so far. */
export type Course = {
  readonly order: OrderInForce
  readonly ageYears: number
  /** Prescribed floor of the SpO2; null when none is. */
  readonly spo2TargetLowPercent: number | null
  readonly now: string
  /** Oldest first or not: they are put in order of time. */
  readonly treatments: readonly PastTreatment[]
}

/** An instant in milliseconds. @throws BadInput when the text is no instant with an offset */
export function instantMs(field: string, instant: string): number {
  const ms = /T.*(Z|[+-]\d\d:\d\d)$/.test(instant) ? Date.parse(instant) : Number.NaN
  if (Number.isNaN(ms)) throw new BadInput(field, instant, 'an instant with its offset')
  return ms
}

export const HOUR_MS = 3_600_000
/** A month of 31 days, as orders have it. */
const LONGEST_MINUTES = 31 * 24 * 60

/**
 * The treatments up to now in order of time.
 * @throws BadInput or OutsideValidity for an age, an interval or an instant that cannot be used
 */
export function treatmentsInOrder(course: Course): readonly PastTreatment[] {
  const { order, ageYears, spo2TargetLowPercent } = course
  requireWithin('ageYears', ageYears, { low: 0, high: 120, unit: 'a' })
  if (spo2TargetLowPercent !== null) {
    requireWithin('spo2TargetLowPercent', spo2TargetLowPercent, { low: 50, high: 100, unit: '%' })
  }
  const { everyMinutes, shortestMinutes, homeEveryMinutes } = order
  for (const [field, minutes] of Object.entries({ everyMinutes, shortestMinutes, homeEveryMinutes })) {
    if (minutes === null || minutes === undefined) continue
    if (!(Number.isInteger(minutes) && minutes > 0 && minutes <= LONGEST_MINUTES)) {
      throw new BadInput(field, minutes, `a whole number of minutes above zero, at most ${LONGEST_MINUTES}`)
    }
  }
  const now = instantMs('now', course.now)
  const timed = course.treatments.map((treatment) => ({ treatment, ms: instantMs('at', treatment.at) }))
  const later = timed.find(({ ms }) => ms > now)
  if (later) throw new BadInput('at', later.treatment.at, `not after now, ${course.now}`)
  return timed.sort((a, b) => a.ms - b.ms).map(({ treatment }) => treatment)
}
