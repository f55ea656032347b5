import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { placeText } from '../chart/handover.ts'
import type { Day, OnTimeChance } from '../rounds/index.ts'
import { type Binding, Bindings, clockText, type Stop } from '../rounds/index.ts'
import type { ShiftProblem } from './problem.ts'
import { baseOf } from './shift-of.ts'
import { instantIn } from './shift-span.ts'
import type { Stay } from './stay.ts'
import type { Way, Ways } from './ways.ts'
import { chanceWords, whyWords } from './words.ts'

/** How a visit's chance of being on time is called: by the policy's limits. */
export type ChanceMark = 'likely' | 'uncertain' | 'doubtful'

/** One knot of a therapist's thread. Instants are UTC; words are made here, from data, and last. */
export type RoundStop = {
  readonly kind: 'visit' | 'break' | 'finish'
  readonly visit: string | null
  readonly state: 'done' | 'now' | 'ahead'
  readonly startAt: string
  readonly endAt: string
  /** The way to it from the stop before, or from the base; null where nothing is to walk. */
  readonly walk: Way | null
  readonly stay: Stay | null
  readonly patientId: string | null
  /** The visit of the record, once begun. */
  readonly visitId: string | null
  readonly lateMinutes: number
  readonly chance: { readonly value: number; readonly mark: ChanceMark; readonly words: string } | null
  readonly pinned: boolean
  /** What the plan in force promised; null when it is new, or when there is no plan. */
  readonly promisedAt: string | null
  readonly why: string
}

export type RoundView = {
  readonly personId: string
  readonly name: string
  readonly stops: readonly RoundStop[]
  readonly counts: PromiseCounts
  /** "14 visits, 13 on time, 1 late by 8 min." */
  readonly promise: string
}

export type PromiseCounts = {
  readonly visits: number
  readonly onTime: number
  readonly late: number
  readonly mostLateMinutes: number
}

export type ViewInput = {
  readonly chart: Chart
  readonly documents: DocumentsInForce['documents']
  readonly problem: ShiftProblem
  /** The day with the plan that is shown. */
  readonly day: Day
  readonly ways: Ways
  readonly chances: readonly OnTimeChance[]
}

/** Everybody's thread of the shift, in the order of the problem's crew. */
export function roundViews(input: ViewInput): RoundView[] {
  const bindings = new Bindings(input.day)
  const { day, problem } = input
  return day.shift.therapists.map((therapist, k) => {
    const planned = day.schedule.find((each) => each.therapist === therapist.id)?.stops ?? []
    const stops = planned.map((stop, index) => stopView(input, bindings, k, index, stop, planned[index - 1]))
    const counts = countsOf(stops)
    const name = problem.crew.find(({ personId }) => personId === therapist.id)?.name ?? therapist.id
    return { personId: therapist.id, name, stops, counts, promise: promiseWords(counts) }
  })
}

/** One person's thread; null for somebody who is not on this shift. */
export function roundView(input: ViewInput, personId: string): RoundView | null {
  return roundViews(input).find((view) => view.personId === personId) ?? null
}

function stopView(
  input: ViewInput,
  bindings: Bindings,
  k: number,
  index: number,
  stop: Stop,
  before: Stop | undefined,
): RoundStop {
  const { problem, ways, chart, documents, day } = input
  const stay = problem.stays.find(({ visit }) => visit === stop.visit) ?? null
  const begun = [...problem.running, ...problem.done].find(({ visit }) => visit === stop.visit) ?? null
  const visit = day.shift.visits.find(({ id }) => id === stop.visit)
  const way = ways.between(placeOfStop(input, before), placeOfStop(input, stop))
  const chance = input.chances.find((each) => each.visit === stop.visit)
  const promised = problem.before.schedule
    .flatMap(({ stops }) => stops)
    .find((each) => each.visit !== null && each.visit === stop.visit)
  const called = (id: string) => visitName(id, problem, chart)
  return {
    kind: stop.visit === null ? 'break' : stay?.finishes ? 'finish' : 'visit',
    visit: stop.visit,
    state: begun || stop.start < problem.minute ? (stop.end > problem.minute ? 'now' : 'done') : 'ahead',
    startAt: instantIn(problem.span, stop.start),
    endAt: instantIn(problem.span, stop.end),
    walk: way && way.seconds > 0 ? way : null,
    stay,
    patientId: stay?.patientId ?? begun?.patientId ?? null,
    visitId: begun?.visitId ?? stay?.finishes ?? null,
    lateMinutes: stay && visit ? Math.max(0, stop.start - visit.onTimeUntil) : 0,
    chance: chance
      ? { value: chance.chance, ...chanceWords(chance.chance, documents['planning-policy'].content.chance) }
      : null,
    pinned: day.pins.some((pin) => pin.visit === stop.visit),
    promisedAt: promised ? instantIn(problem.span, promised.start) : null,
    why: begun
      ? ''
      : whyWords(whyOf(bindings.of(k, index), promised), called, (minute) => clockText(day.shift, minute)),
  }
}

/** Nothing was promised where no plan is: it simply begins as soon as it can. */
function whyOf(binding: Binding, promised: unknown): Binding | { readonly kind: 'now' } {
  return binding.kind === 'kept' && promised === undefined ? { kind: 'now' } : binding
}

/** Where a stop is on the map; the base for a break and for the beginning. */
function placeOfStop({ problem, documents, ways, day }: ViewInput, stop: Stop | undefined): string {
  if (!stop || stop.visit === null) return baseOf(documents, ways)
  const patient = day.shift.visits.find(({ id }) => id === stop.visit)?.patient
  return problem.shift.patients.find(({ id }) => id === patient)?.unit ?? baseOf(documents, ways)
}

/** A visit by the place of its patient, as people call it. */
export function visitName(visit: string, { stays, done }: ShiftProblem, chart: Chart): string {
  const stay = [...stays, ...done].find((each) => each.visit === visit)
  return stay ? placeText(chart.patient(stay.patientId)) : visit
}

function countsOf(stops: readonly RoundStop[]): PromiseCounts {
  const ahead = stops.filter(({ kind, state }) => kind === 'visit' && state === 'ahead')
  const late = ahead.filter(({ lateMinutes }) => lateMinutes > 0)
  return {
    visits: ahead.length,
    onTime: ahead.length - late.length,
    late: late.length,
    mostLateMinutes: Math.max(0, ...late.map(({ lateMinutes }) => lateMinutes)),
  }
}

/** The promise in one sentence. */
export function promiseWords({ visits, onTime, late, mostLateMinutes }: PromiseCounts): string {
  if (visits === 0) return 'No visit left.'
  const count = `${visits} ${visits === 1 ? 'visit' : 'visits'}`
  if (late === 0) return visits === 1 ? `${count}, on time.` : `${count}, all on time.`
  const by = late === 1 ? `late by ${mostLateMinutes} min` : `late, at most by ${mostLateMinutes} min`
  return `${count}, ${onTime} on time, ${late} ${by}.`
}
