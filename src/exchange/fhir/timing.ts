import type { Frequency, OrderBody } from '../../chart/facts/orders.ts'
import { readFrequencyCode, spelled } from '../../chart/timing/frequency-code.ts'
import { EXTENSION, OURS, SYSTEM } from './codes.ts'
import type { Coding, Dosage, Timing, TimingRepeat } from './resources.ts'

/**
 * FHIR's abbreviations for times that the institution sets, and the codes of orders here that mean the same.
 * @see HL7 FHIR R4 4.0.1, value set timing-abbreviation; code system v3-GTSAbbreviation ("at institution specified times")
 */
export const GTS_TO_ORDER: Readonly<Record<string, string>> = {
  QD: 'QD',
  BID: 'BID',
  TID: 'TID',
  QID: 'QID',
  AM: 'QAM',
  PM: 'QPM',
  BED: 'QHS',
  QOD: 'QOD',
  Q1H: 'Q1H',
  Q2H: 'Q2H',
  Q3H: 'Q3H',
  Q4H: 'Q4H',
  Q6H: 'Q6H',
  Q8H: 'Q8H',
  WK: 'Q1W',
}
const ORDER_TO_GTS: ReadonlyMap<string, string> = new Map(
  Object.entries(GTS_TO_ORDER).map(([gts, order]) => [order, gts]),
)

const UNITS: readonly (readonly [unit: string, minutes: number])[] = [
  ['wk', 10_080],
  ['d', 1440],
  ['h', 60],
  ['min', 1],
]

/**
 * When an order is to be given, as FHIR says it: how it repeats, and beside it a code only where the order's code means
 * standard times. QID is four times a day and Q6H every six hours; neither is ever written as the other.
 */
export function writeTiming(order: Pick<OrderBody, 'frequency' | 'startAt' | 'endAt' | 'prn'>): Timing {
  const { frequency, startAt, endAt } = order
  const bounds = {
    ...((startAt !== null || endAt !== null) && {
      boundsPeriod: { ...(startAt !== null && { start: startAt }), ...(endAt !== null && { end: endAt }) },
    }),
  }
  const repeat: TimingRepeat = { ...bounds, ...(frequency && repeatOf(frequency)) }
  const coding = frequency ? codingsOf(frequency) : []
  return {
    ...(frequency?.whileAwake === true && {
      extension: [{ url: EXTENSION.whileAwake, valueBoolean: true }],
    }),
    ...(Object.keys(repeat).length > 0 && { repeat }),
    ...(frequency && { code: { ...(coding.length > 0 && { coding }), text: frequency.code } }),
  }
}

/** `PRN` of an order, as FHIR says it beside the timing. */
export function writeAsNeeded({ prn, frequency }: Pick<OrderBody, 'prn' | 'frequency'>): Partial<Dosage> {
  if (prn === null) return { asNeededBoolean: false }
  const gap = prn.minimumGapMinutes
  const isSaid = gap === null || gap === frequency?.everyMinutes
  const minutes = { value: gap ?? 0, unit: 'min', system: SYSTEM.ucum, code: 'min' }
  return {
    ...(!isSaid && { extension: [{ url: EXTENSION.minimumGap, valueDuration: minutes }] }),
    ...(prn.reason === null ? { asNeededBoolean: true } : { asNeededCodeableConcept: { text: prn.reason } }),
  }
}

function repeatOf(frequency: Frequency): TimingRepeat {
  const { timesPerDay, everyMinutes, once, stat, statedTimes } = frequency
  const timeOfDay = statedTimes && { timeOfDay: statedTimes.map((time) => `${time}:00`) }
  if (once || stat) return { count: 1 }
  if (timesPerDay !== undefined) {
    const atBedtime = spelled(frequency.code) === 'QHS' && !timeOfDay && { when: ['HS'] }
    return { frequency: timesPerDay, period: 1, periodUnit: 'd', ...timeOfDay, ...atBedtime }
  }
  if (everyMinutes !== undefined) {
    // One day as a unit would mean a time of day; an interval of 24 h is counted from its start.
    const [periodUnit, minutes] = UNITS.find(
      ([unit, size]) => everyMinutes % size === 0 && !(unit === 'd' && everyMinutes === size),
    ) ?? ['min', 1]
    return { frequency: 1, period: everyMinutes / minutes, periodUnit, ...timeOfDay }
  }
  return timeOfDay ?? {}
}

function codingsOf(frequency: Frequency): Coding[] {
  const known = readFrequencyCode(frequency.code)
  if (!frequency.standardTimes || !known?.standardTimes) return []
  const gts = [...ORDER_TO_GTS].find(
    ([order]) => spelled(order) === spelled(frequency.code) || same(readFrequencyCode(order), known),
  )
  return [
    ...(gts ? [{ system: SYSTEM.gts, code: gts[1] }] : []),
    { system: OURS.frequency, code: frequency.code },
  ]
}

/** Two codes that mean the same: Q4H and Q240M do not, since only one of them waits for standard times. */
function same(one: Frequency | null, other: Frequency | null): boolean {
  return (
    one !== null &&
    other !== null &&
    one.everyMinutes !== undefined &&
    one.everyMinutes === other.everyMinutes &&
    one.standardTimes === other.standardTimes
  )
}
