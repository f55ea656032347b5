import type { Decision, DecisionRefused } from '../../rounds/replan/decide.ts'
import type { Repair } from '../../rounds/replan/repair.ts'
import { visitWords } from './change-picture.ts'
import type { PlanningBase } from './planning-base.ts'

/** What a decision makes of the plan, in one sentence. */
export function triedWords(base: PlanningBase, decision: Decision, { day }: Repair): string {
  if (decision.kind === 'release') return `${visitWords(base, decision.visit)} may be planned freely again.`
  if (decision.kind === 'hand-over') {
    const stay = [...base.stays.values()].find(({ group }) => group === decision.patient)
    return `${stay ? `${stay.place}, ${stay.who}` : decision.patient} goes to ${base.nameOf(decision.therapist)}.`
  }
  const stop = day.schedule.flatMap(({ stops }) => stops).find(({ visit }) => visit === decision.visit)
  const at = stop ? ` at ${base.clock(stop.start)}` : ''
  return `${visitWords(base, decision.visit)}: ${base.nameOf(decision.therapist)}${at}.`
}

const KEPT = 'The plan stays as it is. Choose another time or another person.'

/** Why a decision cannot be carried out, in the words of the ward. */
export function refusedWords(
  base: PlanningBase,
  { decision, problem }: DecisionRefused,
): { readonly ok: false; readonly what: string; readonly todo: string } {
  const visit = 'visit' in decision ? decision.visit : null
  const planned = base.day.shift.visits.find(({ id }) => id === visit)
  const who = visit === null ? 'This patient' : visitWords(base, visit)
  const name = 'therapist' in decision ? base.nameOf(decision.therapist) : ''
  const no = (what: string, todo = KEPT) => ({ ok: false as const, what, todo })
  switch (problem) {
    case 'skill-missing':
      return no(`${name} is not signed off for ${planned?.skill ?? 'this unit'}.`)
    case 'therapist-has-left':
      return no(`${name} has left.`)
    case 'has-begun':
      return no(`${who}: the visit has begun.`, 'Whoever goes on with it takes it up from the visit itself.')
    case 'before-now':
      return no(`${who}: that time has passed.`)
    case 'outside-window':
      return no(
        planned
          ? `${who} may begin from ${base.clock(planned.earliest)} to ${base.clock(planned.latest)}, not outside.`
          : `${who} may not begin then.`,
      )
    case 'patient-away':
      return no(`${who}: the patient is away then.`)
    case 'nothing-to-come':
      return no(`${who}: nothing is left to give in this shift.`)
    case 'no-time':
      return no(
        `${name} has no time for ${who} there: what is begun, pinned or about to begin leaves no room.`,
      )
    case 'unknown-visit':
    case 'unknown-patient':
    case 'unknown-therapist':
      return no(`${who} is no longer part of the plan.`, 'Look at the round again: it has just changed.')
  }
}
