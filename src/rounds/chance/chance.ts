import type { Day } from '../day.ts'
import { at } from '../engine/at.ts'
import { Random } from '../engine/random.ts'
import { DaySampler } from './day-sampler.ts'
import type { Scatter } from './scatter.ts'

/** The chance that a visit starts by its on-time limit, and the middle and late end of its likely starts. */
export type OnTimeChance = {
  readonly visit: string
  readonly chance: number
  readonly band: ChanceBand
  readonly medianStart: number
  /** Nine days out of ten it starts by then. */
  readonly start90: number
}

/** How a chance is marked: from 95 %, from 80 %, from 50 %, below. */
export type ChanceBand = 'safe' | 'likely' | 'open' | 'doubtful'

/** The mark for a chance of being on time. */
export function bandOf(chance: number): ChanceBand {
  if (chance >= 0.95) return 'safe'
  if (chance >= 0.8) return 'likely'
  return chance >= 0.5 ? 'open' : 'doubtful'
}

export type ChanceOptions = { readonly samples: number; readonly seed: number; readonly scatter: Scatter }

/**
 * Chance of being on time for every visit still to come: durations and walks are drawn and pushed through the
 * earliest-start schedule with the sequences as they are. `begun` counts the stops of each therapist that are finished
 * or running at `now`. The same seed gives the same answer.
 */
export function onTimeChances(
  day: Day,
  now: number,
  begun: readonly number[],
  options: ChanceOptions,
): OnTimeChance[] {
  const sampler = new DaySampler(day, now, begun, options.scatter)
  const random = new Random(options.seed)
  const starts = Array.from({ length: options.samples }, () => sampler.draw(random))
  return sampler.visits.map((visit, i) => {
    const sorted = Int32Array.from(starts, (sample) => at(sample, i)).sort()
    const onTime = sorted.filter((start) => start <= visit.onTimeUntil).length
    const chance = sorted.length === 0 ? 0 : onTime / sorted.length
    return {
      visit: visit.id,
      chance,
      band: bandOf(chance),
      medianStart: sorted[Math.floor(sorted.length / 2)] ?? 0,
      start90: sorted[Math.min(sorted.length - 1, Math.ceil(0.9 * sorted.length) - 1)] ?? 0,
    }
  })
}

/** Points that lateness costs on an average day, by sampling: what a plan hides whose times just fit. */
export function expectedLateness(
  day: Day,
  now: number,
  begun: readonly number[],
  options: ChanceOptions,
): number {
  const sampler = new DaySampler(day, now, begun, options.scatter)
  const random = new Random(options.seed)
  const rates = day.shift.weights.latePerMinute
  let points = 0
  for (let s = 0; s < options.samples; s++) {
    const starts = sampler.draw(random)
    sampler.visits.forEach((visit, i) => {
      points += (rates[visit.priority - 1] as number) * Math.max(0, at(starts, i) - visit.onTimeUntil)
    })
  }
  return points / Math.max(1, options.samples)
}
