/** From the record to the planning problem of a shift, and from a plan back to facts and to what screens show. */
export type { Assumption } from './away-and-pins.ts'
export { type CarryList, carryList } from './carry-list.ts'
export type { CrewMember } from './crew.ts'
export type { RunningStay } from './done-stays.ts'
export {
  type LearnedTimes,
  learningInstant,
  learningSince,
  learnTimes,
  NEWEST_STAYS,
} from './learned-times.ts'
export { type OpenCall, openCalls } from './open-doses.ts'
export { type PastStay, pastStay } from './past-stay.ts'
export { type PlanMaking, planFact } from './plan-fact.ts'
export { planNow, restOfShift } from './plan-now.ts'
export { type ProblemInput, problemOf, type ShiftProblem } from './problem.ts'
export { type PromiseLogged, promiseLog } from './promise-log.ts'
export { medicineIdsOf } from './set-up-forecast.ts'
export { instantIn, minuteIn, type ShiftSpan, shiftSpanAt } from './shift-span.ts'
export { type Happening, sinceThePlan } from './since-plan.ts'
export type { DoneStay, NotPlanned, Stay, StayDose } from './stay.ts'
export { type Way, type WayLeg, Ways } from './ways.ts'
export { assumptionWords, notPlannedWords } from './words.ts'
