import type { ChangeReason, PromiseChange, Promised } from '../../rounds/promise.ts'
import { listed } from './in-words.ts'
import type { ChangePicture } from './plan-picture.ts'
import type { PlanningBase } from './planning-base.ts'

/** A changed promise as people say it: what, why, and whom it concerns. */
export function changePicture(base: PlanningBase, change: PromiseChange): ChangePicture {
  const concerned = [change.from?.therapist, change.to?.therapist].flatMap((id) =>
    id ? [base.nameOf(id)] : [],
  )
  return {
    id: change.visit,
    words: `${visitWords(base, change.visit)} ${whatWords(base, change)}`,
    why: reasonWords(base, change.reason),
    concerns: listed([...new Set(concerned)]),
  }
}

/** "4WEST 12, Imani R." */
export function visitWords(base: PlanningBase, visit: string): string {
  const stay = base.stays.get(visit)
  return stay ? `${stay.place}, ${stay.who}` : visit
}

function whatWords(base: PlanningBase, { kind, from, to }: PromiseChange): string {
  const at = (promised: Promised | null) => (promised === null ? '' : base.clock(promised.start))
  const by = (promised: Promised | null) => (promised === null ? 'nobody' : base.nameOf(promised.therapist))
  switch (kind) {
    case 'later':
    case 'earlier':
      return `moves ${kind}, from ${at(from)} to ${at(to)}`
    case 'other-therapist':
      return `passes from ${by(from)} (${at(from)}) to ${by(to)} (${at(to)})`
    case 'added':
      return `is added at ${at(to)}, by ${by(to)}`
    case 'left-out':
      return 'cannot be reached'
    case 'cancelled':
      return 'is called off'
  }
}

function reasonWords(base: PlanningBase, reason: ChangeReason): string {
  switch (reason.kind) {
    case 'new-visit':
      return 'it is new'
    case 'cancelled':
      return 'its order ended, or it was given'
    case 'overrun':
      return 'it runs longer than planned'
    case 'patient-away':
      return `the patient is away until ${base.clock(reason.until)}`
    case 'therapist-left':
      return `${base.nameOf(reason.therapist)} has left`
    case 'follows':
      return `it follows ${visitWords(base, reason.visit)}, which moved or takes longer`
    case 'gap-after':
      return `it keeps its distance from the dose before (${visitWords(base, reason.visit)})`
    case 'gap-closed':
      return `the distance to the other dose (${visitWords(base, reason.visit)}) leaves no time for it`
    case 'decision':
      return 'somebody placed it there'
    case 'no-room':
      return 'nobody can be there within its limits'
    case 'rearranged':
      return 'the exchange gains more elsewhere'
  }
}
