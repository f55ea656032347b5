import type { ColumnPicture } from './column-picture.ts'
import type { LoggedPicture } from './logged-words.ts'
import type { PlanningBase } from './planning-base.ts'
import type { StopPicture } from './stop-picture.ts'

/** One hour: hands at work on average, hands that are there, and the least that could do it. */
export type PeopleHour = {
  readonly from: string
  readonly busy: number
  readonly present: number
  readonly atLeast: number | null
  /** The same hour in the other plan, where two are compared. */
  readonly otherBusy?: number
}

/** One person's round. */
export type RoundPicture = {
  readonly personId: string
  readonly name: string
  /** "Fourteen visits left. Thirteen on time, one eight minutes late." */
  readonly sentence: string
  readonly stops: readonly StopPicture[]
  readonly endWords: string
  /** Where the way begins: a unit of the map. */
  readonly startUnit: string
}

/** A promise that differs from what was given out. */
export type ChangePicture = {
  readonly id: string
  readonly words: string
  readonly why: string
  /** Whom it concerns. */
  readonly concerns: string
}

/** A plan as screens show it: all of it in words and positions. */
export type PlanPicture = {
  readonly shiftId: string
  /** The beginning and the end of the shift, and the minute that it is in it. */
  readonly from: string
  readonly to: string
  readonly now: number
  /** How the plan shown stands to what was given out. */
  readonly standing: 'not given out' | 'given out' | 'differs' | 'two plans'
  /** "Given out by Mirja Falk at 07:04." */
  readonly standingWords: string
  /** What happened since it was given out, oldest first: "10:42 a call from 4WEST 12". */
  readonly since: readonly string[]
  /** The plan in force; null before the first. */
  readonly planId: string | null
  /** Visits that two people placed differently without knowing of each other, in words. */
  readonly pinsApart: readonly string[]
  /** Promises that plans given out in this shift have changed, the newest first. */
  readonly log: readonly LoggedPicture[]
  /** What cannot be done, by priority: said first. Empty when everything is reached. */
  readonly givenUp: readonly string[]
  /** "At most 4 % from the best possible." */
  readonly nearness: string
  /** "Between 08:00 and 10:15 there are 140 minutes too many: …" */
  readonly overloads: readonly string[]
  /** One sentence for the whole floor. */
  readonly sentence: string
  readonly rounds: readonly RoundPicture[]
  readonly columns: readonly ColumnPicture[]
  readonly hours: readonly PeopleHour[]
  /** Promises that differ from the plan given out. */
  readonly changes: readonly ChangePicture[]
  readonly units: PlanningBase['units']
  /** What was assumed or not understood while the problem was made of the record. */
  readonly remarks: readonly string[]
}
