import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import type { Pin } from '../rounds/index.ts'
import type { RunningStay } from './done-stays.ts'
import { minutesAfter } from './instants.ts'
import { categoryOf } from './past-stay.ts'
import type { DoneStay, Stay } from './stay.ts'

type Documents = DocumentsInForce['documents']
const MINUTE_MS = 60_000

/**
 * Where the site lets a therapist leave a run, a running treatment no longer holds whoever began it: coming back at its
 * end is a stay of its own, theirs. Otherwise it holds them until everything is done and charted.
 */
export function finishingStays(
  running: readonly RunningStay[],
  chart: Chart,
  documents: Documents,
): { readonly done: readonly DoneStay[]; readonly stays: readonly Stay[]; readonly pins: readonly Pin[] } {
  const { mayLeaveDuringRun } = documents.site.content
  const left = mayLeaveDuringRun.allowed ? running.filter(({ phase }) => phase === 'running') : []
  const stays = left.flatMap((stay) => finishing(stay, chart, documents) ?? [])
  return {
    done: running.map((stay) => (left.includes(stay) ? { ...stay, endAt: stay.startAt } : stay)),
    stays,
    pins: stays.flatMap(({ visit }, at) => ({ visit, therapist: left[at]?.personId ?? '' })),
  }
}

function finishing(stay: RunningStay, chart: Chart, documents: Documents): Stay | null {
  const { place, isolation } = chart.patient(stay.patientId)
  if (!place || stay.runEndsAt === null) return null
  const policy = documents['planning-policy'].content
  const total = Math.max(1, Math.round((Date.parse(stay.endAt) - Date.parse(stay.runEndsAt)) / MINUTE_MS))
  const { finishWithinMinutes, lateAtMostMinutes } = policy.visits
  return {
    visit: `${stay.visit} finish`,
    patientId: stay.patientId,
    group: `${stay.patientId} finish ${stay.visitId}`,
    at: stay.at,
    unit: place.unit,
    doses: stay.doses,
    finishes: stay.visitId,
    dueAt: stay.runEndsAt,
    window: {
      earliest: stay.runEndsAt,
      onTimeUntil: minutesAfter(stay.runEndsAt, finishWithinMinutes),
      latest: minutesAfter(stay.runEndsAt, finishWithinMinutes + lateAtMostMinutes),
    },
    priority: 1,
    gapMinutes: 0,
    skillsNeeded: [],
    category: categoryOf(isolation, documents),
    minutes: { total, handsOn: total, handsOnVisits: 0, runs: [] },
    narrowed: [],
  }
}
