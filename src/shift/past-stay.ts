import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { runElapsedMs } from '../chart/folds/run.ts'
import type { VisitState } from '../chart/folds/visit.ts'
import { forecastOf } from './set-up-forecast.ts'

type Documents = DocumentsInForce['documents']

/** How long a past visit took, and nothing of whom it was paid to. */
export type PastStay = {
  readonly visitId: string
  readonly openedAt: string
  /** Null where the run was stopped early or a stamp is missing: then it says nothing of a whole stay. */
  readonly took: TimesTaken | null
}

/** What a whole stay took, and what it is to be held against. */
export type TimesTaken = {
  readonly category: string
  readonly cupId: string
  readonly medicines: string
  readonly runMs: number
  readonly handsMs: number
  /** What was forecast for the run, or would have been; null when no forecast can be made. */
  readonly forecastMinutes: number | null
}

/** The stay of a visit whose run began and whose note is signed; null for others. */
export function pastStay(visit: VisitState, chart: Chart, documents: Documents): PastStay | null {
  const { visitId, opened, run, note } = visit
  if (run.startedAt === null || note === null) return null
  return { visitId, openedAt: opened.at, took: timesTaken(visit, chart, documents) }
}

function timesTaken(visit: VisitState, chart: Chart, documents: Documents): TimesTaken | null {
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
    runMs,
    handsMs,
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
