import type { Role } from './fact.ts'
import type { KindName } from './registry.ts'

/** Acts that are not the writing of a fact. */
export const ACTS = [
  'read chart',
  'bring in messages',
  'enter order by hand',
  'verify ledger',
  'export',
  'read people',
  'change people',
  'read access log',
  'end a tablet',
  'read metrics',
] as const
export type Act = (typeof ACTS)[number]

const BEDSIDE: readonly Role[] = ['therapist', 'lead', 'educator', 'learner']
const SIGNED_OFF: readonly Role[] = ['therapist', 'lead', 'educator']
const PLANS: readonly Role[] = ['therapist', 'lead']
const SETTLES: readonly Role[] = ['therapist', 'lead', 'educator', 'prescriber']
const SYSTEM: readonly Role[] = ['system']

/**
 * Who may write which fact. A learner writes at the bedside and signs, but a learner's note waits for a second
 * signature that no learner can give; a prescriber reads and answers; an administrator keeps people and documents and
 * never charts; `system` is the program, which no session can be. Design rule, to be confirmed by the department.
 */
export const MAY_WRITE: Readonly<Record<KindName, readonly Role[]>> = {
  'message-received': SYSTEM,
  'item-settled': SETTLES,
  'feed-opened': SYSTEM,
  'message-composed': SYSTEM,
  'message-answered': SYSTEM,
  'census-updated': SYSTEM,
  'patient-away': SIGNED_OFF,
  'patient-back': SIGNED_OFF,
  'outside-record-received': SYSTEM,
  'order-placed': SYSTEM,
  'order-changed': SYSTEM,
  'order-held': SYSTEM,
  'order-released': SYSTEM,
  'order-discontinued': SYSTEM,
  'order-reviewed': SYSTEM,
  'finding-answered': SETTLES,
  'staff-recorded': ['administrator', 'lead', 'system'],
  'shift-assigned': ['lead', 'administrator', 'system'],
  'handover-written': BEDSIDE,
  'handover-accepted': SIGNED_OFF,
  'document-adopted': ['administrator', 'lead'],
  'plan-issued': PLANS,
  'visit-pinned': PLANS,
  'visit-unpinned': PLANS,
  'call-received': BEDSIDE,
  'visit-opened': BEDSIDE,
  'visit-taken-up': BEDSIDE,
  'door-checked': BEDSIDE,
  'patient-identified': BEDSIDE,
  'identity-refused': BEDSIDE,
  'medicine-identified': BEDSIDE,
  measured: BEDSIDE,
  prepared: BEDSIDE,
  'preparation-checked': BEDSIDE,
  'set-up-sent': BEDSIDE,
  'set-up-chosen': BEDSIDE,
  'treatment-started': BEDSIDE,
  'treatment-paused': BEDSIDE,
  'treatment-goes-on': BEDSIDE,
  'stop-answered': BEDSIDE,
  'treatment-ended': BEDSIDE,
  'after-done': BEDSIDE,
  'dose-not-given': BEDSIDE,
  'note-signed': BEDSIDE,
  'note-cosigned': SIGNED_OFF,
  'note-corrected': BEDSIDE,
  'entry-struck': BEDSIDE,
}

const ALL_READ: readonly Role[] = ['therapist', 'lead', 'educator', 'learner', 'prescriber']

export const MAY_DO: Readonly<Record<Act, readonly Role[]>> = {
  'read chart': [...ALL_READ, 'administrator'],
  'bring in messages': ['therapist', 'lead', 'administrator'],
  'enter order by hand': ['therapist', 'lead'],
  'verify ledger': [...ALL_READ, 'administrator'],
  export: ['lead', 'administrator'],
  'read people': ['lead', 'administrator'],
  'change people': ['administrator'],
  'read access log': ['lead', 'administrator'],
  'end a tablet': ['lead', 'administrator'],
  'read metrics': ['administrator'],
}

/** May a role write a fact of this kind? A kind that is not known grants nothing. */
export function mayWrite(role: Role, kind: string): boolean {
  return Object.hasOwn(MAY_WRITE, kind) && MAY_WRITE[kind as KindName].includes(role)
}

/** May a role do this? */
export function mayDo(role: Role, act: Act): boolean {
  return MAY_DO[act].includes(role)
}
