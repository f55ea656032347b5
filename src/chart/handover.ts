import type { Chart } from './folds/chart.ts'
import { openFindings, orderStatusAt, termsAt } from './folds/order.ts'
import { fullName, type PatientState } from './folds/patient.ts'
import { runElapsedMs } from './folds/run.ts'
import { isOver, type VisitState } from './folds/visit.ts'
import { lastMeasured, measuredLine } from './stages/measure.ts'

/** What one patient's lines of a handover say. */
export type HandoverPatient = {
  readonly patientId: string
  readonly heading: string
  readonly got: readonly string[]
  readonly missed: readonly string[]
  readonly next: readonly string[]
  readonly watch: readonly string[]
  readonly owed: readonly string[]
}

export type HandoverScope = {
  readonly units: readonly string[]
  readonly from: string
  readonly to: string
  /** Shows an instant as local time of day. */
  readonly clock: (instant: string) => string
  /** When the next dose of an order is due after `to`, in words; null when none is. */
  readonly nextDue: (orderId: string) => string | null
}

/**
 * What is left to say at the end of a shift, patient by patient in order of place: who got what and how they did,
 * what was missed and why, what is due next, what to watch, who owes an answer. Only what the chart holds.
 */
export function draftHandover(chart: Chart, scope: HandoverScope): HandoverPatient[] {
  return chart
    .patients()
    .filter(
      (patient) =>
        patient.place !== null && scope.units.includes(patient.place.unit) && patient.dischargedAt === null,
    )
    .sort((a, b) => placeText(a).localeCompare(placeText(b), 'en', { numeric: true }))
    .map((patient) => patientLines(chart, patient, scope))
    .filter(({ got, missed, next, watch, owed }) =>
      [got, missed, next, watch, owed].some((lines) => lines.length > 0),
    )
}

/** The same as text, which the person handing over may edit before sending. */
export function handoverText(patients: readonly HandoverPatient[]): string {
  return patients
    .map(({ heading, got, missed, next, watch, owed }) =>
      [
        heading,
        ...got,
        ...missed.map((line) => `Missed: ${line}`),
        ...labeled('Watch', watch),
        ...labeled('Next', next),
        ...labeled('Owed', owed),
      ].join('\n'),
    )
    .join('\n\n')
}

function labeled(label: string, lines: readonly string[]): string[] {
  return lines.length === 0 ? [] : [`${label}: ${lines.join('; ')}`]
}

/** "4WEST 7 A": the place as it is said. A place tells where to walk, never who somebody is. */
export function placeText(patient: Pick<PatientState, 'place'>): string {
  return patient.place === null
    ? 'no place'
    : [patient.place.unit, patient.place.room, patient.place.bed].filter(Boolean).join(' ')
}

function patientLines(chart: Chart, patient: PatientState, scope: HandoverScope): HandoverPatient {
  const orders = chart.ordersOf(patient.patientId)
  const visits = orders
    .flatMap((order) => chart.visitsOf(order.orderId))
    .filter((visit) => within(visit, scope))
  const missed = chart
    .factsAbout('patient', patient.patientId)
    .filter(
      (fact) => fact.kind === 'dose-not-given' && fact.happenedAt >= scope.from && fact.happenedAt < scope.to,
    )
  return {
    patientId: patient.patientId,
    heading: `${placeText(patient)} ${fullName(patient)}`,
    got: visits.flatMap((visit) => gotLine(chart, visit, scope)),
    missed: missed.flatMap((fact) =>
      fact.kind === 'dose-not-given'
        ? [`${scope.clock(fact.happenedAt)} ${fact.body.reason}; ${fact.body.next}`]
        : [],
    ),
    next: orders
      .filter((order) => orderStatusAt(order, scope.to) === 'active')
      .flatMap((order) => {
        const due = scope.nextDue(order.orderId)
        return due === null ? [] : [`${termsAt(order, scope.to).title} ${due}`]
      }),
    watch: [...watchLines(patient), ...visits.flatMap(stopLines)],
    owed: orders.flatMap((order) =>
      openFindings(order).map(({ what, whoMustAnswer }) => `${whoMustAnswer}: ${what}`),
    ),
  }
}

function within(visit: VisitState, scope: HandoverScope): boolean {
  return visit.opened.at >= scope.from && visit.opened.at < scope.to
}

function gotLine(chart: Chart, visit: VisitState, { clock, to }: HandoverScope): string[] {
  if (visit.run.startedAt === null) return []
  const order = chart.order(visit.orderId)
  const title = order ? termsAt(order, visit.opened.at).title : 'treatment'
  const minutes = Math.round(runElapsedMs(visit.run, to) / 60_000)
  const after = lastMeasured(visit, 'after')
  const before = lastMeasured(visit, 'before')
  const ended = visit.ended ? `${visit.ended.body.how} after ${minutes} min` : 'still running'
  const response = before && after ? `; before ${measuredLine(before)}; after ${measuredLine(after)}` : ''
  const unsigned = isOver(visit) ? '' : '; not signed yet'
  const cosign = visit.note?.needsCosign ? '; waits for a co-signature' : ''
  return [`${clock(visit.run.startedAt)} ${title}, ${ended}${response}${unsigned}${cosign}`]
}

function watchLines(patient: PatientState): string[] {
  const target = patient.target
    ? [`target SpO2 ${patient.target.lowPercent} to ${patient.target.highPercent} %`]
    : []
  const isolation = patient.isolation.length > 0 ? [`precautions ${patient.isolation.join(', ')}`] : []
  const away = patient.away ? [`away: ${patient.away.reason}`] : []
  return [...target, ...isolation, ...away]
}

function stopLines(visit: VisitState): string[] {
  return visit.stops
    .filter(({ body }) => body.decision !== 'go on')
    .map(({ body }) => `${body.decision}: ${body.rules.map(({ what }) => what).join(', ') || body.seen}`)
}
