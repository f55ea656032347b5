import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine } from '../formulary/medicine-schema.ts'
import { type CyclePlace, cyclePlace, turnsOf } from '../timing/cycle.ts'
import { type Draft, draft, drafted, type Finding, findingsOf } from './finding.ts'
import type { OrderToReview } from './order.ts'

const DAY_MS = 24 * 60 * 60 * 1000

/** An order for a drug that is given in turns: does it end, and after the days on. */
export function cycleDrafts(
  formulary: Formulary,
  medicine: Medicine,
  { startAt, endAt, frequency }: OrderToReview,
): Draft[] {
  const { cycle } = medicine.timing
  if (cycle === undefined || frequency?.once) return []
  const turns = turnsOf(medicine)
  const ask = (code: string, what: string, why: string): Draft =>
    draft(
      formulary,
      {
        code: `${code}:${medicine.id}`,
        severity: 'ask',
        what: `${medicine.name}: ${what}`,
        why,
        whoMustAnswer: 'prescriber',
      },
      medicine.timing,
    )
  if (endAt === undefined || endAt === null)
    return [
      ask(
        'cycle-no-end',
        `ask for the day on which it stops: ${turns}`,
        'the order does not say when it ends',
      ),
    ]
  if (startAt === undefined || startAt === null)
    return [
      ask(
        'cycle-no-start',
        `ask for the day on which it begins: ${turns}`,
        'the order does not say when it begins',
      ),
    ]
  const days = (Date.parse(endAt) - Date.parse(startAt)) / DAY_MS
  if (days <= cycle.daysOn) return []
  return [
    ask(
      'cycle-too-long',
      `ordered for ${Math.round(days * 10) / 10} days without a pause: confirm; ${turns}`,
      `from ${startAt} to ${endAt}`,
    ),
  ]
}

/**
 * A dose that falls into the days off of its drug's course, by the doses on record.
 * @param starts when the drug was given
 * @throws BadInput as `cyclePlace`
 */
export function cycleFindings(
  formulary: Formulary,
  medicineId: string,
  starts: readonly string[],
  at: string,
): readonly Finding[] {
  const place = cyclePlace(formulary, medicineId, starts, at)
  const medicine = formulary.medicine(medicineId)
  if (place === null || medicine === null || place.phase === 'on') return []
  return findingsOf([
    drafted(
      {
        code: `cycle-off:${medicineId}`,
        severity: 'caution',
        what: `${medicine.name}: day ${place.day} of a course of ${place.daysOn} days; ${rest(place, at)}`,
        why: `${turnsOf(medicine)}; ${place.steps.join('; ')}`,
        whoMustAnswer: 'prescriber',
      },
      place.sources,
    ),
  ])
}

function rest({ offUntil, daysOff }: CyclePlace, at: string): string {
  return Date.parse(at) < Date.parse(offUntil)
    ? `it rests until ${offUntil.slice(0, 10)}`
    : `no pause of ${daysOff} days is on record since it began`
}
