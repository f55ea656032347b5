import type { Frequency } from '../../../chart/facts/orders.ts'
import { readFrequencyCode } from '../../../chart/timing/frequency-code.ts'
import { whyNotTaken } from '../../hl7/check-frequency.ts'
import { endOf } from '../../hl7/read-end.ts'
import type { TimingReading } from '../../hl7/read-frequency.ts'
import { EXTENSION, OURS, SYSTEM } from '../codes.ts'
import type { Dosage, Timing, TimingRepeat } from '../resources.ts'
import { GTS_TO_ORDER } from '../timing.ts'
import { codeIn, type EntryReader, extensionOf, textOf } from './entry-reader.ts'

const AT = 'dosageInstruction[0].timing'
const MINUTES_IN: Readonly<Record<string, number>> = { s: 1 / 60, min: 1, h: 60, d: 1440, wk: 10_080 }

/** Parts that bear on when and how much, and that no order here can keep: an order that uses one is refused. */
const NOT_READ: readonly (readonly [part: keyof TimingRepeat, what: string])[] = [
  ['boundsRange', 'a range of durations'],
  ['countMax', 'a range of counts'],
  ['duration', 'how long each treatment lasts'],
  ['durationMax', 'how long each treatment lasts'],
  ['frequencyMax', 'a range of frequencies'],
  ['periodMax', 'a range of periods'],
  ['dayOfWeek', 'days of the week'],
  ['offset', 'a time before or after an event'],
]

/**
 * When an order is to be given. A code that is known and the repetition beside it must say the same; where there is no
 * code the repetition alone decides, and an interval is then counted from its start. What cannot be kept is refused,
 * never left out.
 */
export function readTiming(reader: EntryReader, dosage: Dosage, timeZone: string): TimingReading {
  const { timing } = dosage
  const repeat = timing?.repeat
  refuseUnread(reader, timing, repeat)
  const asNeeded = dosage.asNeededBoolean === true || dosage.asNeededCodeableConcept !== undefined
  const frequency = frequencyOf(reader, timing, asNeeded)
  const { startAt, endAt, lastsMinutes } = boundsOf(reader, repeat)
  const count = frequency?.once === true || frequency?.stat === true ? null : (repeat?.count ?? null)
  const said = { startAt, endAt, lastsMinutes, count }
  const end = endOf(said, asNeeded ? null : frequency, timeZone)
  if ('why' in end) reader.wrong('not-supported', `${AT}.repeat`, end.why)
  return {
    frequency,
    startAt,
    endAt: 'why' in end ? null : end.endAt,
    priority: frequency?.stat === true ? 'stat' : 'routine',
    prn: asNeeded
      ? {
          reason: textOf(dosage.asNeededCodeableConcept),
          minimumGapMinutes: minimumGap(reader, dosage) ?? frequency?.everyMinutes ?? null,
        }
      : null,
    words: [],
  }
}

function refuseUnread(
  reader: EntryReader,
  timing: Timing | undefined,
  repeat: TimingRepeat | undefined,
): void {
  reader.modifiers(AT, timing?.modifierExtension)
  if (timing?.event) reader.wrong('not-supported', `${AT}.event`, 'single dates are not read here')
  for (const [part, what] of NOT_READ)
    if (repeat?.[part] !== undefined)
      reader.wrong('not-supported', `${AT}.repeat.${part}`, `${what} is not read here`)
  const { when } = repeat ?? {}
  if (when && !(when.length === 1 && when[0] === 'HS'))
    reader.wrong(
      'not-supported',
      `${AT}.repeat.when`,
      `times relative to ${when.join(', ')} are not read here`,
    )
}

function boundsOf(reader: EntryReader, repeat: TimingRepeat | undefined) {
  const { boundsPeriod, boundsDuration } = repeat ?? {}
  const lasts =
    boundsDuration?.value === undefined ? null : inMinutes(boundsDuration.value, boundsDuration.code)
  if (boundsDuration && (lasts === null || boundsDuration.comparator !== undefined))
    reader.wrong(
      'not-supported',
      `${AT}.repeat.boundsDuration`,
      'this length is not read here; state the end',
    )
  return {
    startAt: reader.instant(`${AT}.repeat.boundsPeriod.start`, boundsPeriod?.start),
    endAt: reader.instant(`${AT}.repeat.boundsPeriod.end`, boundsPeriod?.end),
    lastsMinutes: lasts,
  }
}

/** A minimum gap that the repetition does not say. */
function minimumGap(reader: EntryReader, dosage: Dosage): number | null {
  const said = extensionOf(dosage.extension, EXTENSION.minimumGap)?.valueDuration
  if (!said) return null
  const minutes = said.value === undefined ? null : inMinutes(said.value, said.code)
  return (
    minutes ??
    reader.wrong('value', 'dosageInstruction[0].extension', 'the shortest gap is no length of time')
  )
}

function frequencyOf(reader: EntryReader, timing: Timing | undefined, asNeeded: boolean): Frequency | null {
  const coded = codedFrequency(reader, timing)
  if (coded === 'wrong') return null
  const repeated = repeatedFrequency(reader, timing?.repeat)
  if (repeated === 'wrong') return null
  const named = coded ?? (repeated === null ? readFrequencyCode(timing?.code?.text ?? '') : null)
  if (!named && !repeated) {
    if (asNeeded) return { code: 'PRN', standardTimes: false }
    const text = textOf(timing?.code)
    return reader.wrong(
      text === null ? 'required' : 'code-invalid',
      AT,
      text === null
        ? 'how often is missing'
        : `"${text}" is no frequency that is known here, and nothing beside it says how often`,
    )
  }
  if (named && repeated) {
    const whyNot = contradiction(named, repeated)
    if (whyNot) return reader.wrong('business-rule', AT, whyNot)
  }
  const frequency: Frequency = {
    ...(named ?? labelled(repeated as Frequency, timing?.code?.text, asNeeded)),
    ...(repeated?.statedTimes && { statedTimes: repeated.statedTimes, standardTimes: false }),
    ...(extensionOf(timing?.extension, EXTENSION.whileAwake)?.valueBoolean === true && { whileAwake: true }),
    // What is given as needed falls due at no time, so no standard times apply.
    ...(asNeeded && { standardTimes: false }),
  }
  const whyNot = whyNotTaken(frequency, { everyMinutes: null, statedTimes: frequency.statedTimes ?? [] })
  return whyNot === null ? frequency : reader.wrong('business-rule', AT, whyNot)
}

/** A frequency by its code: ours, or FHIR's abbreviation; null where there is none. */
function codedFrequency(reader: EntryReader, timing: Timing | undefined): Frequency | 'wrong' | null {
  const gts = codeIn(timing?.code, SYSTEM.gts)
  const own = codeIn(timing?.code, OURS.frequency)
  if (own === null && gts === null) return null
  const code = own ?? (Object.hasOwn(GTS_TO_ORDER, gts ?? '') ? GTS_TO_ORDER[gts ?? ''] : undefined)
  const found = code === undefined ? null : readFrequencyCode(code)
  if (found) return found
  reader.wrong('code-invalid', `${AT}.code`, `the frequency "${own ?? gts}" is not known here`)
  return 'wrong'
}

function repeatedFrequency(
  reader: EntryReader,
  repeat: TimingRepeat | undefined,
): Frequency | 'wrong' | null {
  if (!repeat) return null
  const { frequency: times = 1, period, periodUnit, count, when } = repeat
  const timeOfDay = (repeat.timeOfDay ?? []).map((time) => time.slice(0, 5))
  if ((repeat.timeOfDay ?? []).some((time) => !/^\d\d:\d\d:00(\.0+)?$/.test(time))) {
    reader.wrong('not-supported', `${AT}.repeat.timeOfDay`, 'times to the second are not read here')
    return 'wrong'
  }
  const stated = timeOfDay.length > 0 ? { statedTimes: timeOfDay } : {}
  if (period === undefined && repeat.frequency !== undefined) {
    reader.wrong('required', `${AT}.repeat.period`, `${times} times in which period is missing`)
    return 'wrong'
  }
  if (period === undefined) {
    if (timeOfDay.length > 0) return { code: 'stated times', standardTimes: false, ...stated }
    return count === 1 ? { code: 'ONCE', once: true, standardTimes: false } : null
  }
  const minutes = inMinutes(period, periodUnit)
  // "Once a day" is a time of day; "every 24 h" is an interval, and FHIR can say either.
  const isDaily = period === 1 && periodUnit === 'd'
  if (minutes !== null && times === 1 && !isDaily)
    return { code: intervalCode(minutes), everyMinutes: minutes, standardTimes: false, ...stated }
  if (isDaily && times <= 24)
    return { code: when ? 'QHS' : timesCode(times), timesPerDay: times, standardTimes: true, ...stated }
  reader.wrong(
    'not-supported',
    `${AT}.repeat`,
    `${times} times every ${period} ${periodUnit} is not read here`,
  )
  return 'wrong'
}

/** Minutes as a whole number; null when it is none, or the unit is not of a fixed length (months, years). */
function inMinutes(count: number, unit: string | undefined): number | null {
  const size = unit !== undefined && Object.hasOwn(MINUTES_IN, unit) ? MINUTES_IN[unit] : undefined
  const minutes = size === undefined ? Number.NaN : Math.round(count * size * 1e6) / 1e6
  return Number.isInteger(minutes) && minutes > 0 && minutes <= 44_640 ? minutes : null
}

const timesCode = (times: number) => ({ 1: 'QD', 2: 'BID', 3: 'TID', 4: 'QID' })[times] ?? `${times}ID`
const intervalCode = (minutes: number) =>
  minutes % 1440 === 0 ? `Q${minutes / 1440}D` : minutes % 60 === 0 ? `Q${minutes / 60}H` : `Q${minutes}MIN`

/** Beside a repetition the words of a code are only its label, and only where they do not say something else. */
function labelled(frequency: Frequency, text: string | undefined, asNeeded: boolean): Frequency {
  const said = text === undefined ? null : readFrequencyCode(text)
  if (said?.stat && frequency.once) return said
  if (text !== undefined && said && contradiction(said, frequency) === null)
    return { ...frequency, code: text }
  return asNeeded ? { ...frequency, code: `PRN${frequency.code}` } : frequency
}

/** Why a code and the repetition beside it cannot both hold; null when they can. QID is not Q6H. */
function contradiction(coded: Frequency, repeated: Frequency): string | null {
  const [one, other] = [coded, repeated].map(({ everyMinutes, timesPerDay, once, stat, continuous }) =>
    everyMinutes === undefined && timesPerDay === undefined && !once && !stat && !continuous
      ? null
      : {
          everyMinutes: everyMinutes === 1440 ? null : (everyMinutes ?? null),
          timesPerDay: everyMinutes === 1440 ? 1 : (timesPerDay ?? null),
          single: Boolean(once || stat),
        },
  )
  if (!one || !other || JSON.stringify(one) === JSON.stringify(other)) return null
  return `${coded.code} stands beside a repetition that means ${repeated.code}`
}
