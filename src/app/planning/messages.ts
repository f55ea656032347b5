import type { AnyFact, BodyOf } from '../../chart/registry.ts'
import type { Decision } from '../../rounds/replan/decide.ts'
import type { CarryList, PastStay } from '../../shift/index.ts'
import type { FloorStop } from './column-picture.ts'
import type { ChangePicture, PeopleHour, PlanPicture } from './plan-picture.ts'

/** What a person asks of the planner. */
export type Ask =
  /** Why a visit is then and with them, and what else could be done with it. */
  | { readonly what: 'explain'; readonly visit: string }
  /** What would become of the plan if a person had their way with a visit; nothing is kept by it. */
  | { readonly what: 'try'; readonly decision: Decision }
  /** The same for a knot let go in front of another one of the same therapist. */
  | { readonly what: 'try before'; readonly visit: string; readonly before: string | null }
  /** The smallest help that would bring everything on time. */
  | { readonly what: 'help' }
  /** How many hands the shift needs, hour by hour. */
  | { readonly what: 'staffing' }
  /** What becomes of the plan if somebody goes home at a minute of the shift. */
  | { readonly what: 'goes home'; readonly therapist: string; readonly at: number }
  /** All that somebody has still to do, by one other person or (null) by whomever it fits. */
  | { readonly what: 'hand all'; readonly from: string; readonly to: string | null }
  /** What to take along for the rest of somebody's round. */
  | { readonly what: 'carry'; readonly therapist: string }
  /** A plan made afresh for everybody, as at the start of a shift. */
  | { readonly what: 'afresh' }

/** What takes seconds: it shows how far it has come, and can be stopped. */
export type LongAsk = Extract<Ask, { what: 'help' | 'staffing' | 'afresh' }>

/** Another place for a visit and what it would cost, in words. */
export type OtherPlace = {
  readonly words: string
  readonly costs: string
  readonly decision: Decision
}

export type ExplainAnswer = {
  readonly visit: string
  readonly place: string
  readonly who: string
  readonly what: string
  readonly at: string
  readonly therapist: string
  readonly pinned: boolean
  readonly movable: boolean
  /** Why it is then, sentence by sentence. */
  readonly why: readonly string[]
  readonly others: readonly OtherPlace[]
  /** To somebody else: one entry for each who could take it, and why the rest cannot. */
  readonly byOthers: readonly OtherPlace[]
  readonly cannot: readonly string[]
  /** The decision that keeps it where it is. */
  readonly pin: Decision
}

/** A plan that was tried or found: what it brings, what it changes, and what to write if it is taken. */
export type Trial = {
  readonly title: string
  readonly brings: readonly string[]
  readonly changes: readonly ChangePicture[]
  readonly picture: PlanPicture
  readonly issue: Issue
}

/** What is put on the record when a plan is taken. */
export type Issue = {
  readonly shiftId: string
  readonly plan: BodyOf<'plan-issued'>
  readonly pins: readonly { readonly patientId: string; readonly body: BodyOf<'visit-pinned'> }[]
  readonly unpins: readonly { readonly patientId: string; readonly body: BodyOf<'visit-unpinned'> }[]
}

export type HelpAnswer = { readonly sentences: readonly string[] }

/** What a crew of a size reaches: minutes late in all, and visits left out. */
export type CrewPoint = { readonly crew: number; readonly lateMinutes: number; readonly leftOut: number }

export type StaffingAnswer = {
  readonly sentence: string
  readonly hours: readonly PeopleHour[]
  /** From the smallest crew that was tried to the one that is enough. */
  readonly points: readonly CrewPoint[]
}

/** A stop of a plan as it is drawn beside another. */
export type BesideStop = Pick<FloorStop, 'id' | 'kind' | 'from' | 'until' | 'state'> & {
  /** It is with somebody else in the other plan, or in none. */
  readonly isMoved: boolean
}

/** One person in two plans. */
export type BesideColumn = {
  readonly id: string
  readonly name: string
  readonly now: readonly BesideStop[]
  readonly otherwise: readonly BesideStop[]
  /** "9 visits left, 1 late; 7 h 40 of 12 h 00". */
  readonly nowWords: string
  readonly otherwiseWords: string
}

export type GoesHomeAnswer = {
  readonly therapist: string
  readonly name: string
  /** When, as an instant and on the hospital's clock. */
  readonly instant: string
  readonly at: string
  readonly rows: readonly { readonly what: string; readonly now: string; readonly otherwise: string }[]
  readonly columns: readonly BesideColumn[]
  readonly hours: readonly PeopleHour[]
  readonly changes: readonly ChangePicture[]
}

export type Answers = {
  explain: ExplainAnswer
  try: Trial
  'try before': Trial
  help: HelpAnswer
  staffing: StaffingAnswer
  'goes home': GoesHomeAnswer
  afresh: Trial
  'hand all': Trial
  carry: CarryList
}

export type Answer<What extends Ask['what']> =
  | { readonly ok: true; readonly value: Answers[What] }
  /** It cannot be done, or was refused: why, and what to do. */
  | { readonly ok: false; readonly what: string; readonly todo: string }

/** To the worker. */
export type ToPlanner =
  | { readonly kind: 'facts'; readonly facts: readonly AnyFact[]; readonly more: boolean }
  /** The tablet let go of these patients. */
  | { readonly kind: 'forget'; readonly patientIds: readonly string[] }
  | { readonly kind: 'now'; readonly now: string }
  /** What past visits took, of those too that are not among the facts. */
  | { readonly kind: 'past'; readonly stays: readonly PastStay[] }
  | { readonly kind: 'search'; readonly wanted: boolean }
  | { readonly kind: 'ask'; readonly id: number; readonly ask: Ask }
  /** Ends the work on a question; its answer says that it was stopped. */
  | { readonly kind: 'stop'; readonly id: number }

/** From the worker. */
export type FromPlanner =
  | {
      readonly kind: 'plan'
      readonly picture: PlanPicture
      /** What to write to give out the plan that is shown. */
      readonly issue: Issue
      readonly offer: Trial | null
    }
  | { readonly kind: 'search'; readonly share: number | null }
  /** How far the work on a question has come, 0 to 1. */
  | { readonly kind: 'working'; readonly id: number; readonly share: number }
  | { readonly kind: 'no plan'; readonly what: string; readonly todo: string }
  | { readonly kind: 'answer'; readonly id: number; readonly answer: Answer<Ask['what']> }
