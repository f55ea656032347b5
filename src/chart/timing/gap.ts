import type { Working } from '../../clinical/calculation.ts'
import type { Source } from '../../clinical/worked.ts'
import { BadInput } from '../../clinical/worked.ts'
import { Instant } from '../fact.ts'
import type { OrderBody } from '../facts/orders.ts'
import { TIMING_SOURCES } from './sources.ts'

const MINUTE_MS = 60_000
/** More than this is taken for a slip: no least gap between doses is as long. Design rule. */
const YEAR_MINUTES = 525_600

/** Real time since the last dose, held against the least time between doses. */
export type GapSinceLast = {
  readonly minutes: number
  readonly minimumMinutes: number
  readonly short: boolean
  /** Minutes still to wait; 0 when the gap is long enough. */
  readonly shortByMinutes: number
  readonly enoughFrom: string
  readonly working: Working
}

/**
 * Real minutes between the last dose and an instant, whatever the clocks on the wall did in between.
 * @throws BadInput when an instant cannot be read, when the last dose lies after it, or when the gap is no
 * positive number
 */
export function gapSinceLast(
  lastGivenAt: string,
  at: string,
  minimumMinutes: number,
  sources: readonly Source[] = [TIMING_SOURCES.orderedGap],
): GapSinceLast {
  const lastMs = instantMs('lastGivenAt', lastGivenAt)
  const atMs = instantMs('at', at)
  requireGap(minimumMinutes)
  if (lastMs > atMs) throw new BadInput('lastGivenAt', lastGivenAt, `not after ${at}`)
  const minutes = (atMs - lastMs) / MINUTE_MS
  const shortByMinutes = Math.max(0, minimumMinutes - minutes)
  return {
    minutes,
    minimumMinutes,
    short: shortByMinutes > 0,
    shortByMinutes,
    enoughFrom: new Date(lastMs + minimumMinutes * MINUTE_MS).toISOString(),
    working: {
      steps: [
        `${lastGivenAt} to ${at} is ${minutes} min of real time`,
        shortByMinutes > 0
          ? `${minimumMinutes} min less ${minutes} min: ${shortByMinutes} min too soon`
          : `At least ${minimumMinutes} min: long enough`,
      ],
      sources,
      cautions: [],
    },
  }
}

/** When an as-needed dose may be given again, as far as the clock has a say in it. */
export type PrnAvailability =
  | { readonly kind: 'any time'; readonly working: Working }
  | { readonly kind: 'from'; readonly at: string; readonly working: Working }
  | { readonly kind: 'ask'; readonly working: Working }

/**
 * From when the next as-needed dose may be given. Never given before: at any time. Given before and no least gap
 * known: ask, since nothing says how soon is too soon. `lastGivenAt` is the last dose of this medicine under any
 * order, as needed or scheduled.
 * @throws BadInput when the instant cannot be read or the gap is no positive number
 */
export function prnAvailableAt(
  lastGivenAt: string | null,
  minimumGapMinutes: number | null,
): PrnAvailability {
  if (minimumGapMinutes !== null) requireGap(minimumGapMinutes)
  const sources = [TIMING_SOURCES.orderedGap]
  if (lastGivenAt === null)
    return { kind: 'any time', working: { steps: ['Not given before'], sources, cautions: [] } }
  const lastMs = instantMs('lastGivenAt', lastGivenAt)
  if (minimumGapMinutes === null) {
    const steps = [`Last given ${lastGivenAt}; the order states no least time between doses`]
    const cautions = ['Ask the prescriber how soon it may be repeated, and have it put into the order']
    return { kind: 'ask', working: { steps, sources, cautions } }
  }
  const at = new Date(lastMs + minimumGapMinutes * MINUTE_MS).toISOString()
  const steps = [`Last given ${lastGivenAt} + ${minimumGapMinutes} min of real time = ${at}`]
  return { kind: 'from', at, working: { steps, sources, cautions: [] } }
}

/** The least time between as-needed doses that an order states [min], in its PRN part or in its code; else null. */
export function prnGapMinutes(order: Pick<OrderBody, 'prn' | 'frequency'>): number | null {
  return order.prn?.minimumGapMinutes ?? order.frequency?.everyMinutes ?? null
}

function instantMs(field: string, instant: string): number {
  if (!Instant.safeParse(instant).success)
    throw new BadInput(field, instant, 'an instant in UTC, for example 2026-03-10T12:00:00.000Z')
  return Date.parse(instant)
}

function requireGap(minutes: number): void {
  if (!(minutes > 0 && minutes <= YEAR_MINUTES))
    throw new BadInput(
      'minimumGapMinutes',
      minutes,
      `a finite number of minutes above zero, at most ${YEAR_MINUTES} (a year)`,
    )
}
