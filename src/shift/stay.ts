import type { DoseStatus } from '../chart/folds/doses.ts'
import type { StayMinutes } from './stay-minutes.ts'

/** A dose that a stay is for. */
export type StayDose = {
  readonly orderId: string
  /** Null for an as-needed dose. */
  readonly doseAt: string | null
  /** The fact of the call that asked for it; null for a scheduled dose. */
  readonly callId: string | null
  readonly title: string
}

/** One stay at a bedside: what a visit of the planning problem stands for. */
export type Stay = {
  /** The visit's id in the problem: the name of its first dose, the same on every device. */
  readonly visit: string
  /** The patient of the record. */
  readonly patientId: string
  /** The patient of the problem: those doses of one patient that must keep their distance from each other. */
  readonly group: string
  /** The place on the map where the bed is entered. */
  readonly at: string
  readonly unit: string
  /** The dose that keeps the distance comes first. */
  readonly doses: readonly StayDose[]
  /** The visit of the record that this stay only brings to its end, where leaving a run is allowed; else null. */
  readonly finishes: string | null
  readonly dueAt: string
  readonly window: { readonly earliest: string; readonly onTimeUntil: string; readonly latest: string }
  readonly priority: 1 | 2 | 3 | 4
  readonly gapMinutes: number
  readonly skillsNeeded: readonly string[]
  /** The category that ranks the room, and all codes of the patient. */
  readonly category: string
  readonly minutes: StayMinutes
  /** Why the window is narrower than that of the dose alone. */
  readonly narrowed: readonly Narrowed[]
}

export type Narrowed =
  | { readonly kind: 'gap since last'; readonly lastAt: string; readonly gapMinutes: number }
  | { readonly kind: 'other treatment'; readonly visit: string }

/** A dose that is in hand, or was given in this shift: its stay has a place in somebody's day already. */
export type DoneStay = {
  readonly visit: string
  readonly patientId: string
  readonly group: string
  readonly at: string
  readonly doses: readonly StayDose[]
  readonly dueAt: string
  readonly personId: string
  readonly startAt: string
  readonly endAt: string
  readonly status: DoseStatus
  readonly visitId: string
}

/** Why a dose has no place in the problem. */
export type WhyNotPlanned =
  | { readonly kind: 'no due times'; readonly what: string }
  | { readonly kind: 'to be decided'; readonly what: string; readonly todo: string }
  | { readonly kind: 'order incomplete'; readonly what: string }
  | { readonly kind: 'waits for an answer'; readonly what: string }
  | { readonly kind: 'place not known' }
  | { readonly kind: 'place not on the map'; readonly unit: string }
  | { readonly kind: 'nobody signed off'; readonly skills: readonly string[] }
  | { readonly kind: 'missed'; readonly latest: string }
  | { readonly kind: 'too soon after the last dose'; readonly lastAt: string; readonly gapMinutes: number }
  | { readonly kind: 'ask how soon it may be repeated' }

/** A dose that cannot be planned, named, with the reason: nothing is dropped in silence. */
export type NotPlanned = {
  readonly patientId: string
  readonly orderId: string
  readonly title: string
  readonly doseAt: string | null
  readonly why: WhyNotPlanned
}
