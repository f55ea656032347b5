/** Planning a shift: read it, plan it, keep it true as things happen, and say why. Pure; clocks and seeds are inputs. */
export type { Alternative, Alternatives, PushedVisit } from './alternatives.ts'
export { type Binding, Bindings } from './binding.ts'
export { type Bound, type BoundOptions, lowerBound } from './bound/bound.ts'
export { type Overload, overloads } from './bound/interval.ts'
export {
  bandOf,
  type ChanceBand,
  type ChanceOptions,
  expectedLateness,
  type OnTimeChance,
  onTimeChances,
} from './chance/chance.ts'
export { DaySampler } from './chance/day-sampler.ts'
export { type ReliabilityRow, reliabilityTable } from './chance/reliability.ts'
export { type RobustOptions, type RobustPlan, robustPlan } from './chance/robust-plan.ts'
export { type Scatter, USUAL_SCATTER } from './chance/scatter.ts'
export { type Finding, type FindingKind, readShift, ShiftRefused } from './check.ts'
export { type Compiled, compile } from './compile.ts'
export { beginDay, begunBy, type Day, promisesOf, standingFrom } from './day.ts'
export {
  evaluate,
  PlanImpossible,
  type PlanParts,
  type PricedPlan,
  pricedState,
  type TherapistSchedule,
} from './evaluate.ts'
export { EventRefused } from './events.ts'
export { type ExactAnswer, solveExactly } from './exact/exact.ts'
export { type ExplainOptions, type Explanation, explainVisit, NotPlanned } from './explain.ts'
export {
  conversionsNeeded,
  type ExtraHands,
  extraHandsNeeded,
  FULL_SERVICE,
  type HelpFound,
  type HelpOptions,
  meets,
  type ServiceLevel,
} from './help.ts'
export {
  constructed,
  type Effort,
  type ImproveOptions,
  improve,
  PlanSearch,
  type SearchOptions,
} from './improve.ts'
export type { LeanCrew } from './lean-crew.ts'
export {
  BREAK,
  type Plan,
  type Priority,
  type PromisedVisit,
  type Shift,
  type ShiftEvent,
  shiftSchema,
  type Therapist,
  type Visit,
  type Weights,
} from './model.ts'
export { type PlannedShift, type PlanShiftOptions, planShift } from './plan.ts'
export { type ChangeReason, type PromiseChange, promiseChanges } from './promise.ts'
export {
  type Decision,
  type DecisionProblem,
  DecisionRefused,
  decide,
} from './replan/decide.ts'
export { betterOffer, type Offer, type OfferOptions } from './replan/offer.ts'
export { type FactsNow, type Repair, type RepairOptions, repair, repairToFacts } from './replan/repair.ts'
export { type ReplayOptions, type ReplayReport, replay } from './replay.ts'
export {
  compileSolomon,
  parseSolomon,
  type SolomonConvention,
  SolomonFormatError,
  type SolomonProblem,
} from './solomon.ts'
export { planSolomon, type SolomonPlan, solomonLength } from './solomon-plan.ts'
export { type Split, type SplitOptions, sharesOf, splitShift, type TherapistShare } from './split.ts'
export { type StaffingCurve, type StaffingHour, type StaffingPoint, staffingCurve } from './staffing.ts'
export { type Away, openingStanding, type Pin, type Standing, type Stop } from './standing.ts'
export { CannotAsk, type WhatIf, whatIfLeaves } from './what-if.ts'
export {
  alternativeText,
  bindingText,
  chanceText,
  changeText,
  changeWhat,
  clockText,
  conversionsText,
  handsText,
  overloadText,
  reasonText,
  type Say,
} from './words.ts'
