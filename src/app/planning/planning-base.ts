import type { DocumentsInForce } from '../../chart/documents/documents-in-force.ts'
import type { PlannedDose } from '../../chart/facts/plan.ts'
import type { Scatter } from '../../rounds/chance/scatter.ts'
import type { Day } from '../../rounds/day.ts'
import type { Standing, Stop } from '../../rounds/standing.ts'
import type { ShiftProblem } from '../../shift/index.ts'
import type { LoggedPicture } from './logged-words.ts'

/** A stay at a bedside in the words of the record. */
export type Stay = {
  readonly patientId: string
  /** The patient of the problem: doses that must keep their distance. */
  readonly group: string
  /** "4WEST 12", "Imani R.", "albuterol 2.5 mg", "air, mouthpiece, 6 L/min" or what else matters. */
  readonly place: string
  readonly who: string
  readonly what: string
  readonly how: string
  readonly doses: readonly PlannedDose[]
}

/** The planning problem of a shift as the record stands, with the words that its numbers need. */
export type PlanningBase = {
  readonly problem: ShiftProblem
  readonly documents: DocumentsInForce['documents']
  readonly shiftId: string
  readonly from: string
  readonly to: string
  /** The present as a minute of the shift. */
  readonly now: number
  /** What is known now; its schedule is the plan given out, empty lists before the first. */
  readonly day: Day
  /** The day as it was when the plan in force was given out; null before the first. */
  readonly before: Day | null
  /** Where everybody is, and what stays fixed. */
  readonly standing: Standing
  /** Per therapist: what has really been begun, at its real times. */
  readonly begun: readonly (readonly Stop[])[]
  readonly stays: ReadonlyMap<string, Stay>
  readonly nameOf: (therapist: string) => string
  readonly units: readonly {
    readonly id: string
    readonly name: string
    /** As the ward writes it: "4WEST". */
    readonly short: string
    readonly floor: number
  }[]
  readonly freezeMinutes: number
  readonly leastGain: number
  readonly scatter: Scatter
  /** At this chance and above a visit is called on time; below the second it is tight [0 to 1]. */
  readonly tightBelow: number
  readonly clock: (minute: number) => string
  readonly instant: (minute: number) => string
  /** The plan that is in force, and others that stand beside it. */
  readonly planId: string | null
  readonly inPlaceOf: readonly string[]
  readonly policyFact: string | null
  /** "Given out by Mirja Falk at 07:04."; null before the first plan. */
  readonly givenOut: string | null
  readonly contested: boolean
  /** By visit, the pins that stand, named by their facts: one, or several that people set without knowing of each other. */
  readonly pinIds: ReadonlyMap<string, readonly string[]>
  /** The visits with several, each in words. */
  readonly pinsApart: readonly string[]
  /** What happened since that plan: the facts, and each in words. */
  readonly since: readonly { readonly factId: string; readonly words: string }[]
  /** What the plans of this shift have changed so far. */
  readonly log: readonly LoggedPicture[]
  readonly remarks: readonly string[]
}

/** The problem, or why there is none and what to do. */
export type BaseFound =
  | { readonly ok: true; readonly value: PlanningBase }
  | { readonly ok: false; readonly what: string; readonly todo: string }
