import { zoneOf } from '../../../chart/timing/zone.ts'

/** A stretch of time [ms], the end not counted; infinite where it is open. */
export type Range = { readonly fromMs: number; readonly toMs: number }

const DAY = /^(\d{4})(?:-(\d\d)(?:-(\d\d))?)?$/
const TIME = /^(\d{4}-\d\d-\d\d)T(\d\d):(\d\d)(?::(\d\d)(\.\d+)?)?(Z|[+-]\d\d:\d\d)$/
const DAY_MS = 86_400_000

/**
 * The stretch of time that a date of FHIR means: a year, a month or a day as the hospital's clocks have it, or a time
 * with its zone, as exactly as it was said. Null when it is none.
 */
export function rangeOf(text: string, timeZone: string): Range | null {
  const [, year, month, day] = DAY.exec(text) ?? []
  if (year !== undefined) return dayRange(Number(year), month, day, timeZone)
  const [, , , , second, fraction] = TIME.exec(text) ?? []
  if (!TIME.test(text)) return null
  const fromMs = Date.parse(text)
  if (Number.isNaN(fromMs)) return null
  return { fromMs, toMs: fromMs + (second === undefined ? 60_000 : fraction === undefined ? 1000 : 1) }
}

function dayRange(
  year: number,
  month: string | undefined,
  day: string | undefined,
  timeZone: string,
): Range | null {
  const at = (y: number, m: number, d: number) => Date.UTC(y, m, d)
  const [m, d] = [Number(month ?? 1) - 1, Number(day ?? 1)]
  const from = at(year, m, d)
  const shown = new Date(from)
  if (shown.getUTCMonth() !== m || shown.getUTCDate() !== d) return null
  const to =
    day !== undefined ? at(year, m, d + 1) : month !== undefined ? at(year, m + 1, 1) : at(year + 1, 0, 1)
  const zone = zoneOf(timeZone)
  const midnight = (ms: number) => zone.place({ day: Math.round(ms / DAY_MS), minute: 0 }).ms
  return { fromMs: midnight(from), toMs: midnight(to) }
}

export const PREFIXES = ['eq', 'ne', 'gt', 'lt', 'ge', 'le', 'sa', 'eb'] as const
export type Prefix = (typeof PREFIXES)[number]

/** Does a resource's stretch of time stand to an asked one as the prefix says? HL7 FHIR R4 4.0.1, search, section 3.1.1.4.5. */
export function holds(prefix: Prefix, resource: Range, asked: Range): boolean {
  const within = asked.fromMs <= resource.fromMs && resource.toMs <= asked.toMs
  switch (prefix) {
    case 'eq':
      return within
    case 'ne':
      return !within
    case 'gt':
      return resource.toMs > asked.toMs
    case 'lt':
      return resource.fromMs < asked.fromMs
    case 'ge':
      return within || resource.toMs > asked.toMs
    case 'le':
      return within || resource.fromMs < asked.fromMs
    case 'sa':
      return resource.fromMs >= asked.toMs
    case 'eb':
      return resource.toMs <= asked.fromMs
  }
}
