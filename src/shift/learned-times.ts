import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { PlanningPolicy } from '../chart/documents/planning-policy.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { joinPast, newestPast } from '../chart/folds/past-rows.ts'
import { type Estimate, estimate } from './estimate.ts'
import { type PastStay, pastStay, type TimesTaken } from './past-stay.ts'

type Documents = DocumentsInForce['documents']

/** How long things take in this department, learned from its own charted visits. */
export type LearnedTimes = {
  /** Minutes with the hands: everything of a stay but the run, by isolation category. */
  readonly handsOn: Readonly<Record<string, Estimate>>
  /** Charted run over forecast run, by cup. */
  readonly runFactor: Readonly<Record<string, Estimate>>
  /** Charted run minutes by what was in the cup, for what no forecast covers. */
  readonly run: Readonly<Record<string, Estimate>>
  /** Scatter of a whole stay about what is expected of it, as a share. */
  readonly stayCv: number
  /** Visits that were counted, and those left out because the run was stopped early or a stamp is missing. */
  readonly counted: number
  readonly leftOut: number
}

const MINUTE_MS = 60_000

/** Of longer windows the newest so many visits are enough for every median. A design rule. */
export const NEWEST_STAYS = 4000

/**
 * Up to when a plan of now learns: the full hour before. So every device plans with the same minutes, and no visit
 * that is charted moves the promises of all others.
 */
export function learningInstant(now: string): string {
  return `${now.slice(0, 13)}:00:00.000Z`
}

/** From when on visits are learned from, by the policy's last days. */
export function learningSince(now: string, { learning }: PlanningPolicy): string {
  return new Date(Date.parse(now) - learning.fromDays * 24 * 60 * MINUTE_MS).toISOString()
}

/**
 * Learns from the signed visits of the policy's last days: those of the chart, and others as they were told. Runs that
 * were stopped early say nothing of a whole run.
 */
export function learnTimes(
  chart: Chart,
  documents: Documents,
  now: string,
  told: readonly PastStay[] = [],
): LearnedTimes {
  const policy = documents['planning-policy'].content
  const since = learningSince(now, policy)
  const counts = (openedAt: string) => openedAt >= since && openedAt <= now
  const here = chart.visits()
  const own = here.flatMap((visit) =>
    counts(visit.opened.at) ? (pastStay(visit, chart, documents) ?? []) : [],
  )
  const held = new Set(here.map(({ visitId }) => visitId))
  const stays = joinPast(told, own, held).filter(({ openedAt }) => counts(openedAt))
  return timesOf(
    newestPast(stays, NEWEST_STAYS, ({ openedAt }) => openedAt),
    policy,
  )
}

function timesOf(stays: readonly PastStay[], policy: PlanningPolicy): LearnedTimes {
  const charted = stays.flatMap(({ took }) => took ?? [])
  const learned = (
    key: 'category' | 'cupId' | 'medicines',
    seen: (visit: TimesTaken) => number | null,
    prior: (name: string) => number,
  ) => byKey(charted, key, seen, (name) => priorOf(prior(name), policy))
  return {
    handsOn: learned('category', handsMinutes, (category) => handsOnPrior(category, policy)),
    runFactor: learned('cupId', runOverForecast, () => 1),
    run: learned('medicines', runMinutes, () => policy.times.runMinutesWhenUnknown),
    stayCv: stayCv(charted, policy),
    counted: charted.length,
    leftOut: stays.length - charted.length,
  }
}

const runMinutes = ({ runMs }: TimesTaken) => runMs / MINUTE_MS
const handsMinutes = ({ handsMs }: TimesTaken) => handsMs / MINUTE_MS

/** Minutes with the hands in a stay under an isolation category, before any visit was counted. */
export function handsOnPrior(category: string, { times }: PlanningPolicy): number {
  const worn = times.protectiveEquipment.find((each) => each.category === category)?.minutes ?? 0
  return (
    times.preparingMinutes +
    times.measuringBeforeMinutes +
    times.measuringAfterMinutes +
    times.chartingMinutes +
    worn
  )
}

function runOverForecast(visit: TimesTaken): number | null {
  const { forecastMinutes } = visit
  return forecastMinutes === null ? null : runMinutes(visit) / forecastMinutes
}

/** A prior with the policy's scatter and weight. */
export function priorOf(value: number, { times, learning }: PlanningPolicy) {
  return { value, cv: times.spreadPercent / 100, visits: learning.priorVisits }
}

function byKey(
  charted: readonly TimesTaken[],
  key: 'category' | 'cupId' | 'medicines',
  of: (visit: TimesTaken) => number | null,
  prior: (name: string) => Parameters<typeof estimate>[1],
): Record<string, Estimate> {
  const seen = new Map<string, number[]>()
  for (const visit of charted) {
    const value = of(visit)
    if (value !== null) seen.set(visit[key], [...(seen.get(visit[key]) ?? []), value])
  }
  const named = [...seen].sort(([a], [b]) => (a < b ? -1 : 1))
  return Object.fromEntries(named.map(([name, values]) => [name, estimate(values, prior(name))]))
}

function stayCv(charted: readonly TimesTaken[], policy: PlanningPolicy): number {
  const ratios = charted.map(
    (visit) =>
      (handsMinutes(visit) + runMinutes(visit)) /
      (handsOnPrior(visit.category, policy) + (visit.forecastMinutes ?? policy.times.runMinutesWhenUnknown)),
  )
  return estimate(ratios, priorOf(1, policy)).cv
}
