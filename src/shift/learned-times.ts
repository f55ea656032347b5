import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { PlanningPolicy } from '../chart/documents/planning-policy.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { runElapsedMs } from '../chart/folds/run.ts'
import type { VisitState } from '../chart/folds/visit.ts'
import { type Estimate, estimate } from './estimate.ts'
import { forecastOf } from './set-up-forecast.ts'

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

type Charted = {
  readonly category: string
  readonly cupId: string
  readonly medicines: string
  readonly runMinutes: number
  readonly handsMinutes: number
  readonly forecastMinutes: number | null
}

/**
 * Up to when a plan of now learns: the full hour before. So every device plans with the same minutes, and no visit
 * that is charted moves the promises of all others.
 */
export function learningInstant(now: string): string {
  return `${now.slice(0, 13)}:00:00.000Z`
}

/** Learns from the signed visits of the policy's last days. Runs that were stopped early say nothing of a whole run. */
export function learnTimes(chart: Chart, documents: Documents, now: string): LearnedTimes {
  const policy = documents['planning-policy'].content
  const since = new Date(Date.parse(now) - policy.learning.fromDays * 24 * 60 * MINUTE_MS).toISOString()
  const given = chart
    .visits()
    .filter(
      ({ opened, run, note }) =>
        run.startedAt !== null && note !== null && opened.at >= since && opened.at <= now,
    )
  const charted = given.flatMap((visit) => chartedVisit(visit, chart, documents) ?? [])
  const learned = (
    key: 'category' | 'cupId' | 'medicines',
    seen: (visit: Charted) => number | null,
    prior: (name: string) => number,
  ) => byKey(charted, key, seen, (name) => priorOf(prior(name), policy))
  return {
    handsOn: learned(
      'category',
      ({ handsMinutes }) => handsMinutes,
      (category) => handsOnPrior(category, policy),
    ),
    runFactor: learned('cupId', runOverForecast, () => 1),
    run: learned(
      'medicines',
      ({ runMinutes }) => runMinutes,
      () => policy.times.runMinutesWhenUnknown,
    ),
    stayCv: stayCv(charted, policy),
    counted: charted.length,
    leftOut: given.length - charted.length,
  }
}

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

function chartedVisit(visit: VisitState, chart: Chart, documents: Documents): Charted | null {
  const { run, note, ended, opened, setUp, prepared } = visit
  if (!note || !setUp || !prepared || run.endedAt === null || ended?.body.how !== 'finished') return null
  const stayMs = Date.parse(note.signed.at) - Date.parse(opened.at)
  const runMs = runElapsedMs(run, run.endedAt)
  const pausedMs = Date.parse(run.endedAt) - Date.parse(run.startedAt ?? run.endedAt) - runMs
  const handsMs = stayMs - runMs - pausedMs
  if (!(runMs > 0 && handsMs > 0)) return null
  const patient = chart.patient(visit.patientId)
  return {
    category: categoryOf(visit.door?.body.precautions ?? patient.isolation, documents),
    cupId: setUp.body.cupId,
    medicines: medicinesKey(prepared.body.portions),
    runMinutes: runMs / MINUTE_MS,
    handsMinutes: handsMs / MINUTE_MS,
    forecastMinutes: forecastFor(visit, chart, documents),
  }
}

/** The category among these codes that is visited last; the one that holds for everybody when there is none. */
export function categoryOf(codes: readonly string[], documents: Documents): string {
  const { always, categories } = documents.isolation.content
  const own = categories
    .filter(({ code }) => code !== always && codes.includes(code))
    .sort((a, b) => b.roundRank - a.roundRank)
  return own[0]?.code ?? always
}

/** What is in a cup, named alike however the portions are ordered. */
export function medicinesKey(
  portions: readonly { readonly medicineId: string; readonly part: string }[],
): string {
  return portions
    .flatMap(({ medicineId, part }) => (part === 'medicine' ? [medicineId] : []))
    .sort()
    .join(' + ')
}

/** What was forecast for a charted set-up, or would have been. */
function forecastFor({ setUp, prepared, patientId, opened }: VisitState, chart: Chart, documents: Documents) {
  if (!setUp || !prepared) return null
  const { forecast, againstAdvice: _, ...choice } = setUp.body
  if (forecast) return forecast.runMinutes.likely
  return forecastOf(choice, prepared.body, chart.patient(patientId), documents, opened.at).runMinutes
}

function runOverForecast({ runMinutes, forecastMinutes }: Charted): number | null {
  return forecastMinutes === null ? null : runMinutes / forecastMinutes
}

/** A prior with the policy's scatter and weight. */
export function priorOf(value: number, { times, learning }: PlanningPolicy) {
  return { value, cv: times.spreadPercent / 100, visits: learning.priorVisits }
}

function byKey(
  charted: readonly Charted[],
  key: 'category' | 'cupId' | 'medicines',
  of: (visit: Charted) => number | null,
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

function stayCv(charted: readonly Charted[], policy: PlanningPolicy): number {
  const ratios = charted.map(
    ({ category, handsMinutes, runMinutes, forecastMinutes }) =>
      (handsMinutes + runMinutes) /
      (handsOnPrior(category, policy) + (forecastMinutes ?? policy.times.runMinutesWhenUnknown)),
  )
  return estimate(ratios, priorOf(1, policy)).cv
}
