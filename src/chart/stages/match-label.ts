import { fullName, type PatientState } from '../folds/patient.ts'
import type { VisitState } from '../folds/visit.ts'
import type { Compared, Difference } from './identify.ts'

/** What a label says; typed by hand, only its code is known. */
export type LabelSeen = {
  readonly labelCode: string
  readonly patient?: string
  readonly order?: string
  readonly useBy?: string
}

type With = {
  readonly patient: PatientState
  readonly placer: string
  readonly visit: VisitState
  readonly now: string
  /** The use-by of this preparation by the policy in force, for a code that was typed. */
  readonly useBy: string | null
  readonly clock: (instant: string) => string
}

/** Holds a label against the patient, the order and the preparation of the visit, and against the time. */
export function compareLabel(seen: LabelSeen, { patient, placer, visit, now, useBy, clock }: With): Compared {
  const differences: Difference[] = []
  const differs = (what: string, expected: string, found: string) =>
    differences.push({ what, expected, found })
  if (seen.patient !== undefined && seen.patient !== patient.mrn)
    differs('patient', `${fullName(patient)}, ${patient.mrn ?? 'no record number'}`, seen.patient)
  if (seen.order !== undefined && seen.order !== placer) differs('order', placer, seen.order)
  const prepared = visit.prepared?.body.labelCode
  if (prepared === undefined || bare(seen.labelCode) !== bare(prepared))
    differs('preparation', prepared ?? 'no label was printed for this cup', seen.labelCode)
  const until = seen.useBy ?? useBy
  if (until !== null && until <= now) differs('use by', `after ${clock(now)}`, clock(until))
  const [first, ...others] = differences
  return first === undefined ? { ok: true } : { ok: false, differences: [first, ...others] }
}

/** Whether the cup bears a label that was not yet looked at where it is given. */
export function labelWaits({
  prepared,
  labelChecked,
}: Pick<VisitState, 'prepared' | 'labelChecked'>): boolean {
  const code = prepared?.body.labelCode
  return code !== undefined && labelChecked?.body.labelCode !== code
}

/** Typed by a person: blanks, dashes and small letters make no difference. */
function bare(code: string): string {
  return code.replaceAll(/[\s-]/g, '').toUpperCase()
}
