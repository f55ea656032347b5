import {
  type ChangeReason,
  changeWhat,
  type PromiseChange,
  reasonText,
  type Say,
} from '../../rounds/index.ts'
import { listed } from './in-words.ts'
import type { ChangePicture } from './plan-picture.ts'
import type { PlanningBase } from './planning-base.ts'

/** A changed promise as people say it: what, why, and whom it concerns. */
export function changePicture(base: PlanningBase, change: PromiseChange): ChangePicture {
  return {
    id: change.visit,
    words: changeWhat(change, sayFor(base)),
    why: reasonWords(base, change.reason),
    concerns: listed(change.concerns.therapists.map(base.nameOf)),
  }
}

/** "4WEST 12, Imani R." */
export function visitWords(base: PlanningBase, visit: string): string {
  const stay = base.stays.get(visit)
  return stay ? `${stay.place}, ${stay.who}` : visit
}

/** The planner's sentences by this hospital's clock and names. */
export function sayFor(base: PlanningBase): Say {
  return { clock: base.clock, visit: (id) => visitWords(base, id), therapist: base.nameOf }
}

/** Why a promise changed, to stand after "because". */
export function reasonWords(base: PlanningBase, reason: ChangeReason): string {
  return reasonText(reason, sayFor(base))
}
