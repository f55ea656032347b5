import { describe, expect, it } from 'vitest'
import { ROLES, type Role } from './fact.ts'
import { ACTS, mayDo, mayWrite } from './permissions.ts'
import { KINDS } from './registry.ts'

/**
 * What the department was told, written down a second time by hand: a slip in the product's table shows here. One
 * letter a role that may: Therapist, Lead, Educator, learneR, Prescriber, Administrator, System. Design rule.
 */
const LETTER: Record<Role, string> = {
  therapist: 'T',
  lead: 'L',
  educator: 'E',
  learner: 'R',
  prescriber: 'P',
  administrator: 'A',
  system: 'S',
}
const WRITES: Record<string, string> = {
  'message-received': 'S',
  'item-settled': 'TLEP',
  'feed-opened': 'S',
  'message-composed': 'S',
  'message-answered': 'S',
  'census-updated': 'S',
  'patient-away': 'TLE',
  'patient-back': 'TLE',
  'outside-record-received': 'S',
  'order-placed': 'S',
  'order-changed': 'S',
  'order-held': 'S',
  'order-released': 'S',
  'order-discontinued': 'S',
  'order-reviewed': 'S',
  'finding-answered': 'TLEP',
  'staff-recorded': 'LAS',
  'shift-assigned': 'LAS',
  'handover-written': 'TLER',
  'handover-accepted': 'TLE',
  'document-adopted': 'LA',
  'plan-issued': 'TL',
  'visit-pinned': 'TL',
  'visit-unpinned': 'TL',
  'call-received': 'TLER',
  'visit-opened': 'TLER',
  'visit-taken-up': 'TLER',
  'door-checked': 'TLER',
  'patient-identified': 'TLER',
  'identity-refused': 'TLER',
  'medicine-identified': 'TLER',
  measured: 'TLER',
  prepared: 'TLER',
  'preparation-checked': 'TLER',
  'set-up-sent': 'TLER',
  'set-up-chosen': 'TLER',
  'treatment-started': 'TLER',
  'treatment-paused': 'TLER',
  'treatment-goes-on': 'TLER',
  'stop-answered': 'TLER',
  'treatment-ended': 'TLER',
  'after-done': 'TLER',
  'dose-not-given': 'TLER',
  'note-signed': 'TLER',
  'note-cosigned': 'TLE',
  'note-corrected': 'TLER',
  'entry-struck': 'TLER',
}
const DOES: Record<string, string> = {
  'read chart': 'TLERPA',
  'bring in messages': 'TLA',
  'enter order by hand': 'TL',
  'verify ledger': 'TLERPA',
  export: 'LA',
  'read people': 'LA',
  'change people': 'A',
  'read access log': 'LA',
  'end a tablet': 'LA',
  'read metrics': 'A',
}

describe('who may write what', () => {
  it('is settled for every kind of fact and every act there is', () => {
    expect(Object.keys(WRITES).sort()).toEqual(KINDS.map(({ kind }) => kind).sort())
    expect(Object.keys(DOES).sort()).toEqual([...ACTS].sort())
  })
  it.each(ROLES)('is for %s as it was told, kind by kind and act by act', (role) => {
    const kinds = KINDS.map(({ kind }) => kind)
    expect(kinds.filter((kind) => mayWrite(role, kind))).toEqual(
      kinds.filter((kind) => WRITES[kind]?.includes(LETTER[role])),
    )
    expect(ACTS.filter((act) => mayDo(role, act))).toEqual(
      ACTS.filter((act) => DOES[act]?.includes(LETTER[role])),
    )
  })
  it('is nothing for a kind that is not known, or for a name that every object has', () => {
    for (const kind of ['guessed', 'constructor', '__proto__', ''])
      expect(mayWrite('administrator', kind)).toBe(false)
  })
})
