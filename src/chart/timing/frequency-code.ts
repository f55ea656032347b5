import type { Frequency } from '../facts/orders.ts'

const TIMES_A_DAY: Readonly<Record<string, number>> = {
  QD: 1,
  DAILY: 1,
  BID: 2,
  TID: 3,
  QID: 4,
  QAM: 1,
  QPM: 1,
  QHS: 1,
}
const MINUTES_IN: Readonly<Record<string, number>> = { M: 1, H: 60, D: 1440, W: 10_080 }
const LONGEST_MINUTES = 60 * 24 * 31

/** The way of spelling a code that lookups use: capitals, no blanks. */
export function spelled(code: string): string {
  return code.toUpperCase().replace(/[\s.]/g, '')
}

/**
 * A bare frequency code as a frequency, or null when it is none of the codes read here: BID, TID, QID, `<n>ID`,
 * QD, QOD, QAM, QPM, QHS, `Q<n>M` (minutes), `Q<n>H`, `Q<n>D`, `Q<n>W`, ONCE, STAT, C, and PRN before or after
 * any of them. QID is four times a day and Q6H every six hours; neither is ever read as the other.
 * @see HL7 v2 table 0335, FHIR R4 timing abbreviations
 */
export function readFrequencyCode(code: string): Frequency | null {
  const plain = spelled(code)
  const asNeeded = plain.startsWith('PRN') || plain.endsWith('PRN')
  const way = wayOf(asNeeded ? plain.replace('PRN', '') : plain)
  if (asNeeded) return way || plain === 'PRN' ? { ...way, code, standardTimes: false } : null
  return way && { standardTimes: true, ...way, code }
}

type Way = Omit<Frequency, 'code' | 'standardTimes'> & { readonly standardTimes?: boolean }

function wayOf(plain: string): Way | null {
  const timesPerDay = TIMES_A_DAY[plain] ?? Number(/^(\d{1,2})ID$/.exec(plain)?.[1] ?? Number.NaN)
  if (timesPerDay >= 1 && timesPerDay <= 24) return { timesPerDay }
  if (plain === 'QOD') return { everyMinutes: 2 * 1440 }
  if (plain === 'ONCE') return { once: true, standardTimes: false }
  if (plain === 'STAT') return { stat: true, standardTimes: false }
  if (plain === 'C' || plain === 'CONTINUOUS') return { continuous: true, standardTimes: false }
  return interval(plain)
}

function interval(plain: string): Way | null {
  const [, count, unit] = /^Q(\d{1,4})(MIN|[MHDW])$/.exec(plain) ?? []
  const everyMinutes = Number(count) * (MINUTES_IN[unit?.charAt(0) ?? ''] ?? Number.NaN)
  if (!(everyMinutes >= 1 && everyMinutes <= LONGEST_MINUTES)) return null
  const ofTheClock = unit !== 'M' && unit !== 'MIN'
  return { everyMinutes, standardTimes: ofTheClock }
}
