import { BadInput, type Source } from '../../worked.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine } from '../formulary/medicine-schema.ts'

const DAY_MS = 24 * 60 * 60 * 1000

/** Where an instant lies in a course that is given for so many days and then left out for so many. */
export type CyclePlace = {
  readonly phase: 'on' | 'off'
  /** Day of the course, the day of its first dose being 1. */
  readonly day: number
  readonly daysOn: number
  readonly daysOff: number
  readonly courseFrom: string
  /** From here on the drug is left out. */
  readonly onUntil: string
  /** When a new course may begin, if nothing is given from `onUntil` on. */
  readonly offUntil: string
  readonly steps: readonly string[]
  readonly sources: readonly Source[]
}

/**
 * The place of an instant in the course of a drug that is given in turns, such as 28 days on and 28 days off. A
 * course begins with the first dose, and again after a pause at least as long as the days off. Days are spans of
 * 24 hours from the first dose of the course.
 * @param starts instants at which the drug was given (ISO 8601, any order); later ones than `at` are passed over
 * @returns null for a drug that is not given in turns
 * @throws BadInput for an unknown medicine or an instant that cannot be read
 */
export function cyclePlace(
  formulary: Formulary,
  medicineId: string,
  starts: readonly string[],
  at: string,
): CyclePlace | null {
  const medicine = formulary.medicine(medicineId)
  if (medicine === null) throw new BadInput('medicineId', medicineId, 'an id of the formulary')
  const { cycle } = medicine.timing
  if (cycle === undefined) return null
  const now = instant('at', at)
  const from = courseStart(
    starts.map((start) => instant('starts', start)).filter((start) => start <= now),
    now,
    cycle.daysOff,
  )
  const day = Math.floor((now - from) / DAY_MS) + 1
  const onUntil = from + cycle.daysOn * DAY_MS
  return {
    phase: now < onUntil ? 'on' : 'off',
    day,
    ...cycle,
    courseFrom: text(from),
    onUntil: text(onUntil),
    offUntil: text(onUntil + cycle.daysOff * DAY_MS),
    steps: [
      `first dose of this course: ${text(from)}`,
      `${text(at)} is day ${day}; ${cycle.daysOn} days on, then ${cycle.daysOff} days off`,
    ],
    sources: formulary.sources(medicine.timing),
  }
}

/** The first dose after the last pause of at least the days off; now, when nothing was given since such a pause. */
function courseStart(given: readonly number[], now: number, daysOff: number): number {
  const pause = daysOff * DAY_MS
  let start: number | null = null
  let last: number | null = null
  for (const time of given.toSorted((a, b) => a - b)) {
    if (start === null || last === null || time - last >= pause) start = time
    last = time
  }
  return start === null || last === null || now - last >= pause ? now : start
}

/** How a drug's turns are said: `28 days on, 28 days off`. */
export function turnsOf({ timing: { cycle } }: Medicine): string | null {
  return cycle === undefined ? null : `${cycle.daysOn} days on, ${cycle.daysOff} days off`
}

function instant(field: string, given: string): number {
  const at = Date.parse(given)
  if (Number.isNaN(at)) throw new BadInput(field, given, 'an instant in ISO 8601')
  return at
}

const text = (at: number | string) => new Date(at).toISOString()
