import { documentsInForce } from '../../chart/documents/documents-in-force.ts'
import type { Chart } from '../../chart/folds/chart.ts'
import { ageAt, ageInWords, type PatientState } from '../../chart/folds/patient.ts'
import { placeText } from '../../chart/handover.ts'
import { standingFrom } from '../../rounds/day.ts'
import {
  instantIn,
  type LearnedTimes,
  learningInstant,
  learnTimes,
  type PastStay,
  problemOf,
  promiseLog,
  type ShiftProblem,
  sinceThePlan,
} from '../../shift/index.ts'
import { happeningWords } from './happening-words.ts'
import { apartWords, knownPins } from './known-pins.ts'
import { loggedPictures } from './logged-words.ts'
import type { BaseFound, PlanningBase, Stay } from './planning-base.ts'
import { remarksOf } from './remarks.ts'

type Documents = ReturnType<typeof documentsInForce>['documents']

type Learned = {
  readonly until: string
  readonly facts: number
  /** Whether anything was told of visits that are not among the facts. */
  readonly told: boolean
  readonly times: LearnedTimes
}

/** A record that grew by more than this share since was still coming in when it was learned from. */
const GROWN = 1.05

/**
 * Makes the problem of the shift from the record, again and again as facts come in. What the department's own visits
 * teach is counted once an hour, not with every fact; what is told of others is taken up then too, or at once when it is
 * the first.
 */
export function recordReader(): (chart: Chart, at: string, past?: readonly PastStay[]) => BaseFound {
  let learned: Learned | null = null
  return (chart, at, past = []) => {
    const { documents } = documentsInForce(chart.facts(), at)
    const until = learningInstant(at)
    const facts = chart.size
    const told = past.length > 0
    if (learned?.until !== until || facts > learned.facts * GROWN || (told && !learned.told))
      learned = { until, facts, told, times: learnTimes(chart, documents, until, past) }
    const problem = problemOf({ chart, documents, now: at, learned: learned.times })
    if (problem.crew.length === 0)
      return {
        ok: false,
        what: 'Nobody is on this shift.',
        todo: 'Somebody who may assigns shifts under Setup; the due list below needs none.',
      }
    return { ok: true, value: baseOf(chart, documents, problem) }
  }
}

function baseOf(chart: Chart, documents: Documents, problem: ShiftProblem): PlanningBase {
  const { span, shift, plan, contested } = problem
  const clock = clockOf(documents.site.content.timeZone)
  const names = new Map(problem.crew.map(({ personId, name }) => [personId, name]))
  const nameOf = (personId: string) =>
    (names.get(personId) ?? chart.person(personId)?.name ?? personId).replace(/,.*$/, '')
  const { day } = problem
  const plans = chart.plans(span.shiftId)
  const pinned = knownPins(plans, problem)
  const placeOf = (visit: string) =>
    placeText(chart.patient(problem.stays.find((stay) => stay.visit === visit)?.patientId ?? ''))
  return {
    problem,
    documents,
    shiftId: span.shiftId,
    from: span.from,
    to: span.to,
    now: problem.minute,
    day,
    before: plan === null ? null : problem.before,
    standing: standingFrom(day, problem.minute, problem.begun),
    begun: problem.begun,
    stays: staysInWords(chart, documents, problem),
    nameOf,
    units: unitsOf(documents, shift),
    freezeMinutes: problem.freezeMinutes,
    leastGain: problem.leastGain,
    scatter: problem.scatter,
    tightBelow: documents['planning-policy'].content.chance.likelyFromPercent / 100,
    clock: (minute) => clock(instantIn(span, minute)),
    instant: (minute) => instantIn(span, minute),
    planId: plan?.planId ?? null,
    inPlaceOf: contested.map(({ planId }) => planId).filter((id) => id !== plan?.planId),
    policyFact: documents['planning-policy'].adopted?.factId ?? null,
    givenOut: plan === null ? null : `Given out by ${nameOf(plan.issuedBy)} at ${clock(plan.issuedAt)}.`,
    contested: contested.length > 0,
    pinIds: new Map(pinned.map(({ visit, pins }) => [visit, pins.map(({ pinId }) => pinId)])),
    pinsApart: pinned
      .filter(({ pins }) => pins.length > 1)
      .map((known) => apartWords(known, placeOf(known.visit), clock, nameOf)),
    since: sinceThePlan(chart, problem).map((fact) => ({
      factId: fact.id,
      words: happeningWords(chart, clock, nameOf, fact),
    })),
    log: loggedPictures(chart, clock, nameOf, promiseLog(plans, shift.weights.promiseTolerance)),
    remarks: remarksOf(chart, clock, nameOf, problem),
  }
}

function staysInWords(chart: Chart, documents: Documents, problem: ShiftProblem): ReadonlyMap<string, Stay> {
  const rows = [
    ...problem.stays.map((stay) => ({ ...stay, minutes: stay.minutes.total })),
    ...[...problem.calledOff, ...problem.done].map((stay) => ({ ...stay, minutes: null })),
  ]
  return new Map(
    rows.map(({ visit, patientId, group, doses, minutes }) => {
      const patient = chart.patient(patientId)
      return [
        visit,
        {
          patientId,
          group,
          place: placeText(patient),
          who: personWords(patient, problem.now),
          what: doses.map(({ title }) => title).join(' + '),
          how: [minutes === null ? null : `about ${minutes} min`, ...precautions(patient, documents)]
            .filter(Boolean)
            .join(' · '),
          doses: doses.map(({ orderId, doseAt, callId }) => ({ orderId, doseAt, callId })),
        },
      ]
    }),
  )
}

/** "Anselm K. · 63 years": enough to find the bed by, no more than others in the corridor should read. */
function personWords({ given, family, dob }: PatientState, now: string): string {
  const name = [given, family ? `${family.charAt(0)}.` : null].filter(Boolean).join(' ')
  const age = ageAt(dob, now)
  return age === null ? name : `${name} · ${ageInWords(age)}`
}

function precautions({ isolation }: PatientState, { isolation: categories }: Documents): string[] {
  return isolation.map((code) => {
    const known = categories.content.categories.find((category) => category.code === code)
    return `${known?.name.toLowerCase() ?? code} precautions`
  })
}

function unitsOf(documents: Documents, shift: ShiftProblem['shift']): PlanningBase['units'] {
  const places = new Map(documents['hospital-map'].content.places.map((place) => [place.id, place]))
  return shift.units.map(({ id, floor }) => {
    const place = places.get(id)
    return { id, name: place?.name ?? id, short: place?.unit ?? id, floor }
  })
}

function clockOf(timeZone: string): (instant: string) => string {
  const format = new Intl.DateTimeFormat('en-GB', {
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
    timeZone,
  })
  return (instant) => format.format(new Date(instant))
}
