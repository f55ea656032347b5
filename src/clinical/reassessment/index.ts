/** Reassessing an order across treatments: proposals with reasons, and a message drafted from them. Changes nothing. */
export {
  type Course,
  DEVICES,
  type Look,
  ORDER_KINDS,
  type OrderInForce,
  type PastTreatment,
} from './course.ts'
export { type DraftedMessage, draftMessage, type MessageParties } from './draft-message.ts'
export type { JudgedLook } from './judge-look.ts'
export type { Response } from './judge-response.ts'
export { type Reassessment, reassess } from './reassess.ts'
export { defaultReassessment, ReassessmentDocument } from './reassessment-document.ts'
export { type PastCourse, type Rehearsal, rehearse } from './rehearse.ts'
export { intervalWords, type Suggestion, type SuggestionKind } from './suggestion.ts'
