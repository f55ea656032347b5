import type { Role } from '../../chart/fact.ts'

/** Nobody real. `pass` is for the demo only and is printed at start. */
export type InventedPerson = {
  readonly personId: string
  readonly name: string
  readonly role: Role
  readonly signedOffFor: readonly string[]
  readonly units: readonly string[]
  readonly beside?: string
  /** Works the other shift: by night when the demo is looked at by day. */
  readonly night?: boolean
}

export const STAFF: readonly InventedPerson[] = [
  {
    personId: 'amsel',
    name: 'Romy Amsel, RRT',
    role: 'therapist',
    signedOffFor: ['intensive care', 'children'],
    units: ['4WEST', '3STEP'],
  },
  {
    personId: 'birke',
    name: 'Jonas Birke, RRT',
    role: 'therapist',
    signedOffFor: ['intensive care'],
    units: ['MICU', '4WEST'],
  },
  { personId: 'corvin', name: 'Alda Corvin, CRT', role: 'therapist', signedOffFor: [], units: ['3WEST'] },
  {
    personId: 'dorn',
    name: 'Piet Dorn, RRT',
    role: 'therapist',
    signedOffFor: ['children', 'newborn'],
    units: ['CHILD', 'NURSERY'],
  },
  {
    personId: 'esker',
    name: 'Thea Esker, RRT',
    role: 'therapist',
    signedOffFor: ['intensive care'],
    units: ['ED', '3STEP'],
  },
  {
    personId: 'lindt',
    name: 'Oda Lindt, RRT',
    role: 'therapist',
    signedOffFor: ['intensive care', 'children', 'newborn'],
    units: ['MICU', 'CHILD', 'NURSERY', 'ED'],
    night: true,
  },
  {
    personId: 'moor',
    name: 'Filip Moor, RRT',
    role: 'therapist',
    signedOffFor: ['intensive care'],
    units: ['4WEST', '3STEP', '3WEST'],
    night: true,
  },
  {
    personId: 'falk',
    name: 'Mirja Falk, RRT',
    role: 'lead',
    signedOffFor: ['intensive care', 'children', 'newborn'],
    units: [],
  },
  {
    personId: 'gerlach',
    name: 'Hanno Gerlach, RRT',
    role: 'educator',
    signedOffFor: ['intensive care', 'children'],
    units: [],
  },
  {
    personId: 'hollen',
    name: 'Suri Hollen',
    role: 'learner',
    signedOffFor: [],
    units: ['4WEST', '3STEP'],
    beside: 'amsel',
  },
  {
    personId: 'ivers',
    name: 'Mats Ivers',
    role: 'learner',
    signedOffFor: [],
    units: ['3WEST'],
    beside: 'corvin',
  },
  { personId: 'harrowgate', name: 'Dr. Ines Harrowgate', role: 'prescriber', signedOffFor: [], units: [] },
  { personId: 'keeper', name: 'Veit Marlow', role: 'administrator', signedOffFor: [], units: [] },
]
