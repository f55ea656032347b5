import { SYSTEM } from '../codes.ts'
import type { AuditEvent } from '../resources.ts'
import { personReference, type WriteContext } from './basics.ts'

/** One line of the access log. */
export type AccessNote = {
  readonly sequence: number
  readonly at: string
  readonly personId: string
  readonly what: string
  readonly about: string | null
}

/** DICOM PS3.16, context group 400, as HL7 FHIR R4 4.0.1 takes it up in audit-event-type. */
const KINDS: readonly (readonly [what: RegExp, code: string, display: string, action: 'R' | 'C' | 'E'])[] = [
  [/^(export|print)/, '110106', 'Export', 'R'],
  [/^bring in/, '110107', 'Import', 'C'],
  [/sign|password|PIN|lock|let in/i, '110114', 'User Authentication', 'E'],
  [/person|tablet/, '110137', 'User Security Attributes Changed', 'E'],
  [/access log/, '110101', 'Audit Log Used', 'R'],
]

/** A line of the access log: who looked at, took out or brought in what, and when. Numbers of ours only, no names. */
export function writeAudit(context: WriteContext, note: AccessNote): AuditEvent {
  const { sequence, at, personId, what, about } = note
  const [, code, display, action] = KINDS.find(([pattern]) => pattern.test(what)) ?? [
    null,
    '110110',
    'Patient Record',
    'R' as const,
  ]
  const patients = patientsIn(about)
  return {
    resourceType: 'AuditEvent',
    id: `access-${sequence}`,
    meta: { lastUpdated: at },
    type: { system: SYSTEM.dicom, code, display },
    subtype: [{ display: what }],
    action,
    recorded: at,
    outcome: /refused/.test(what) ? '8' : '0',
    agent: [{ who: personReference(context, personId), requestor: true }],
    source: { observer: { display: 'Mistwright' } },
    ...(about !== null &&
      about !== '' && {
        entity:
          patients.length > 0
            ? patients.map((id) => ({ what: { reference: `Patient/${id}` } }))
            : [{ name: about }],
      }),
  }
}

/** The patients that a note names. */
export function patientsIn(about: string | null): string[] {
  return (about ?? '').match(/\bpatient-[0-9a-f]{24}\b/g) ?? []
}
