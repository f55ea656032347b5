import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { termsAt } from '../chart/folds/order.ts'
import type { PlanState } from '../chart/folds/plans.ts'
import type { Day, Scatter, Shift, Stop } from '../rounds/index.ts'
import { type Assumption, type Away, awayKnownAt, awayTimes, pinsFor } from './away-and-pins.ts'
import { begunStops } from './begun.ts'
import { type CalledOff, calledOff, promisedStill } from './called-off.ts'
import { type CrewMember, crewOf } from './crew.ts'
import { type RunningStay, staysSoFar } from './done-stays.ts'
import { finishingStays } from './finishing.ts'
import { latestOf } from './instants.ts'
import { type LearnedTimes, learningInstant, learnTimes } from './learned-times.ts'
import { openDoses } from './open-doses.ts'
import { holdingPlan, type Kept, keptOf, promisedTo } from './promised.ts'
import { medicineIdsOf } from './set-up-forecast.ts'
import { shiftOf } from './shift-of.ts'
import { instantIn, minuteIn, type ShiftSpan, shiftSpanAt } from './shift-span.ts'
import type { DoneStay, NotPlanned, Stay } from './stay.ts'
import { staysOf } from './stays.ts'
import { Ways } from './ways.ts'

type Documents = DocumentsInForce['documents']

export type ProblemInput = {
  readonly chart: Chart
  readonly documents: Documents
  /** The instant at which everybody is looked for. */
  readonly now: string
  /** The shift to plan; by default the one that `now` falls into. */
  readonly span?: ShiftSpan
  /** Kept from an earlier asking, to save the counting; by default counted anew. */
  readonly learned?: LearnedTimes
}

/** The rest of a shift as a planning problem, with all that the screens need to put names to it. Plain data throughout. */
export type ShiftProblem = {
  readonly span: ShiftSpan
  readonly now: string
  readonly minute: number
  /** In the published planning format. */
  readonly shift: Shift
  /** What is known now: the shift, absences, pins, who has gone. The plan in force is in `before`. */
  readonly day: Day
  /** The plan in force as it was promised, over the visits that it knew; an empty schedule when there is none. */
  readonly before: Day
  /** What that plan still promises and nothing asks for any more. */
  readonly calledOff: readonly CalledOff[]
  /** Per therapist of the shift: what is finished or being done, at its real times. */
  readonly begun: readonly (readonly Stop[])[]
  readonly crew: readonly CrewMember[]
  readonly stays: readonly Stay[]
  readonly done: readonly DoneStay[]
  readonly running: readonly RunningStay[]
  /** Named, with the reason: nothing is dropped in silence. */
  readonly notPlanned: readonly NotPlanned[]
  readonly assumed: readonly Assumption[]
  /** The plan that holds, and those that stand side by side and wait for a decision. */
  readonly plan: PlanState | null
  readonly contested: readonly PlanState[]
  readonly scatter: Scatter
  readonly freezeMinutes: number
  readonly leastGain: number
}

/**
 * From the record to the problem: who is on, what is due, what is done and running, where everybody is, what was
 * promised. The same facts, documents and instant give the same problem on every device.
 */
export function problemOf(input: ProblemInput): ShiftProblem {
  const { chart, documents, now } = input
  const policy = documents['planning-policy'].content
  const span = input.span ?? shiftSpanAt(now, documents.site.content)
  const learned = input.learned ?? learnTimes(chart, documents, learningInstant(now))
  const ways = new Ways(documents['hospital-map'].content)
  const crew = crewOf(chart, documents, span, now)
  const open = openDoses(chart, documents, span, now)
  const made = staysOf(open.doses, chart, documents, ways, learned, now)
  const soFar = staysSoFar(chart, documents, ways, learned, span, now)
  const finishing = finishingStays(soFar.running, chart, documents)
  const able = made.stays.filter((stay) => crew.some((person) => mayGive(person, stay)))
  const stays = [...able.map((stay) => afterRunning(stay, soFar.running)), ...finishing.stays]
  const done = [...soFar.done, ...finishing.done].map((stay) => ({
    ...stay,
    group: groupFor(stay, stays, chart, now),
  }))
  const plans = chart.plans(span.shiftId)
  const plan = holdingPlan(plans)
  const minute = minuteIn(span, now, Math.floor)
  const kept = keptOf(plan, [...stays, ...done])
  const away: Away[] = awayTimes(chart, stays, span)
  const pinned = pinsFor(plans.pins, stays, crew, span, minute, finishing.pins)
  const issuedAt = plan?.issuedAt ?? span.from
  const off = calledOff(plan, [...stays, ...done], chart, now)
  const breaks = breaksToPlan(crew, kept, minute)
  const shift = shiftOf({ span, documents, ways, crew: breaks.crew, stays, done, kept })
  const begun = breaks.crew.map((person) =>
    begunStops(
      person,
      done.filter(({ personId }) => personId === person.personId).map((stay) => inMinutes(stay, span)),
      promisedTo(person.personId, kept, span),
      minute,
    ),
  )
  const day: Day = {
    shift,
    schedule: [],
    away,
    pins: pinned.pins,
    gone: crew.filter(({ gone }) => gone).map(({ personId }) => personId),
  }
  return {
    span,
    now,
    minute,
    shift,
    day,
    calledOff: off,
    before: dayPromised(day, plan, off, [...stays, ...done], span, {
      away: awayKnownAt(away, chart, stays, issuedAt),
      pins: pinned.pins.filter(({ visit }) => pinned.since(visit) <= issuedAt),
      gone: crew
        .filter(({ end, gone }) => gone && instantIn(span, end) <= issuedAt)
        .map(({ personId }) => personId),
      begun: new Set(done.map(({ visit }) => visit)),
    }),
    begun,
    crew: breaks.crew,
    stays,
    done,
    running: soFar.running,
    notPlanned: [...open.notPlanned, ...made.notPlanned, ...nobodyFor(made.stays, able)],
    assumed: [...pinned.assumed, ...breaks.assumed, ...unknownIsolation(stays, chart, documents)],
    plan,
    contested: plans.contested,
    scatter: { durationCv: learned.stayCv, walkCv: policy.times.walkSpreadPercent / 100 },
    freezeMinutes: policy.promises.frozenMinutes,
    leastGain: policy.promises.leastGain,
  }
}

/** What was known when the plan in force was given out, so that what came after is a reason and not a riddle. */
type KnownThen = Pick<Day, 'away' | 'pins' | 'gone'> & { readonly begun: ReadonlySet<string> }

/** The day as the plan in force promised it. Visits that it did not know are not in it, so that they show as added. */
function dayPromised(
  day: Day,
  plan: PlanState | null,
  off: readonly CalledOff[],
  stays: readonly (Stay | DoneStay)[],
  span: ShiftSpan,
  { begun, ...then }: KnownThen,
): Day {
  const { shift } = day
  // What somebody gave who is not of the crew is in nobody's day: that promise is kept, and no longer the plan's.
  const inDay = new Set(shift.visits.map(({ id }) => id))
  const kept = keptOf(plan, [...stays.filter(({ visit }) => inDay.has(visit)), ...off])
  const schedule = shift.therapists.map(({ id }) => ({
    therapist: id,
    stops: promisedTo(id, kept, span),
    load: 0,
  }))
  const stops = schedule.flatMap((round) => round.stops)
  const promised = new Map(stops.map(({ visit, start, end }) => [visit, end - start]))
  const leftOut = new Set(plan?.leftOut.map(({ visit }) => visit))
  const visits = shift.visits.flatMap((visit) => {
    const minutes = promised.get(visit.id)
    if (minutes === undefined && !leftOut.has(visit.id)) return []
    return [begun.has(visit.id) && minutes !== undefined ? { ...visit, duration: minutes } : visit]
  })
  const still = promisedStill(off, shift.therapists[0]?.start.unit ?? '', span)
  const therapists = shift.therapists.map((therapist, k) => ({
    ...therapist,
    end: { ...therapist.end, time: Math.max(therapist.end.time, schedule[k]?.stops.at(-1)?.end ?? 0) },
  }))
  const patients = [...shift.patients, ...still.patients]
  return {
    ...day,
    ...then,
    shift: { ...shift, visits: [...visits, ...still.visits], patients, therapists },
    schedule: plan === null ? [] : schedule,
  }
}

function mayGive(person: CrewMember, stay: Stay): boolean {
  return !person.gone && stay.skillsNeeded.every((skill) => person.skills.includes(skill))
}

function nobodyFor(stays: readonly Stay[], able: readonly Stay[]): NotPlanned[] {
  return stays
    .filter((stay) => !able.includes(stay))
    .flatMap(({ patientId, doses, skillsNeeded }) =>
      doses.map(({ orderId, doseAt, title }) => ({
        patientId,
        orderId,
        doseAt,
        title,
        why: { kind: 'nobody signed off' as const, skills: skillsNeeded },
      })),
    )
}

/** Nobody breathes from two cups at once: what else is due waits for the end of what runs. */
function afterRunning(stay: Stay, running: readonly RunningStay[]): Stay {
  const busy = running.filter(
    ({ patientId, endAt }) => patientId === stay.patientId && endAt > stay.window.earliest,
  )
  const [first, ...others] = busy.map(({ endAt }) => endAt)
  if (first === undefined) return stay
  const until = latestOf(first, ...others)
  const { onTimeUntil, latest } = stay.window
  return {
    ...stay,
    window: { earliest: until, onTimeUntil: latestOf(onTimeUntil, until), latest: latestOf(latest, until) },
  }
}

/** A dose given counts for the distance of those that it shares a medicine with. */
function groupFor(stay: DoneStay, stays: readonly Stay[], chart: Chart, now: string): string {
  const medicines = (orderId: string | undefined) => {
    const order = orderId === undefined ? null : chart.order(orderId)
    return order ? medicineIdsOf(termsAt(order, now)) : []
  }
  const given = medicines(stay.doses[0]?.orderId)
  const alike = stays.find(
    ({ patientId, doses, finishes }) =>
      patientId === stay.patientId &&
      finishes === null &&
      medicines(doses[0]?.orderId).some((id) => given.includes(id)),
  )
  return alike?.group ?? stay.group
}

/** A break whose time is over and that no plan promised is not planned any more: nothing says whether it was taken. */
function breaksToPlan(crew: readonly CrewMember[], kept: readonly Kept[], minute: number) {
  const promised = (personId: string) =>
    kept.some((each) => each.personId === personId && each.stops.some(({ visit }) => visit === null))
  const over = crew.filter(
    ({ break: pause, personId }) => pause !== null && minute > pause.latest && !promised(personId),
  )
  const assumed: Assumption[] = over.map(({ personId }) => ({ kind: 'break not recorded', personId }))
  return {
    crew: crew.map((person) => (over.includes(person) ? { ...person, break: null } : person)),
    assumed,
  }
}

function unknownIsolation(stays: readonly Stay[], chart: Chart, documents: Documents): Assumption[] {
  const known = new Set(documents.isolation.content.categories.map(({ code }) => code))
  return [...new Set(stays.map(({ patientId }) => patientId))].flatMap((patientId) =>
    chart
      .patient(patientId)
      .isolation.filter((code) => !known.has(code))
      .map((code): Assumption => ({ kind: 'isolation code not known', patientId, code })),
  )
}

function inMinutes(stay: DoneStay, span: ShiftSpan) {
  const start = Math.max(0, minuteIn(span, stay.startAt, Math.floor))
  return { ...stay, start, end: Math.max(start, minuteIn(span, stay.endAt, Math.ceil)) }
}
