import {
  cycleFindings,
  type Formulary,
  historyFindings,
  isAcute,
  unitSpelled,
} from '../../clinical/medicine/index.ts'
import { BadInput } from '../../clinical/worked.ts'
import type { OrderBody, OrderedMedicine } from '../facts/orders.ts'
import { ageAt, type PatientState } from '../folds/patient.ts'
import { type BedsideFinding, bedsideFinding } from './finding.ts'
import type { GivenBefore } from './given-before.ts'
import { orderToReview } from './order-to-review.ts'

type Asked = {
  readonly terms: OrderBody
  readonly patient: PatientState
  readonly before: GivenBefore
  readonly at: string
}

/**
 * Each ordered medicine against what was given before: too early, too much in any 24 hours, in the days off of its
 * course. What could not be checked is said, with the reason; it never passes for a check that found nothing.
 */
export function timingFindings(formulary: Formulary, asked: Asked): BedsideFinding[] {
  const found = asked.terms.medicines
    .filter(({ part }) => part === 'medicine')
    .flatMap((line) => [
      ...historyOf(formulary, line, asked),
      ...courseOf(formulary, line, asked),
      ...unreadOf(line, asked),
    ])
  return [...new Map(found.map((finding) => [finding.code, finding])).values()]
}

function historyOf(formulary: Formulary, line: OrderedMedicine, asked: Asked): BedsideFinding[] {
  const { terms, patient, before, at } = asked
  const amount = line.amountMax ?? line.amountMin
  const unit = unitSpelled(line.unit ?? '')
  if (terms.frequency?.continuous) return [byTheHour(line)]
  if (line.medicineId === null) return [notChecked(line, 'The formulary does not know this medicine.')]
  if (amount === null) return [notChecked(line, 'The order does not say the dose.')]
  if (unit === null)
    return [notChecked(line, `The unit of the dose cannot be read: ${line.unit ?? 'none is given'}.`)]
  const { medicineId } = line
  return checked(line, () =>
    historyFindings(
      formulary,
      {
        medicineId,
        amount: { value: amount, unit },
        at,
        acute: isAcute(formulary, orderToReview(terms)),
        ageDays: ageAt(patient.dob, at)?.days ?? null,
        weightKg: patient.weightKg,
      },
      before.doses,
    ),
  )
}

/** The course counts from the doses on record. */
function courseOf(formulary: Formulary, line: OrderedMedicine, { before, at }: Asked): BedsideFinding[] {
  const { medicineId } = line
  if (medicineId === null || formulary.medicine(medicineId) === null) return []
  const given = before.doses.filter((dose) => dose.medicineId === medicineId)
  return checked(line, () =>
    cycleFindings(
      formulary,
      medicineId,
      given.map((dose) => dose.at),
      at,
    ),
  )
}

/** Doses on record without an amount that can be read: the total may be higher than what was counted. */
function unreadOf({ medicineId, text }: OrderedMedicine, { before }: Asked): BedsideFinding[] {
  const unread = before.unread.filter((each) => each.medicineId === medicineId)
  if (unread.length === 0) return []
  return [
    {
      code: `unread-doses:${medicineId}`,
      severity: 'caution',
      what: `Doses of ${text} on record could not be counted; the total of 24 hours may be higher.`,
      why: unread.map(({ what }) => what).join('; '),
      sources: NOT_DROPPED,
    },
  ]
}

function checked(line: OrderedMedicine, find: () => ReturnType<typeof historyFindings>): BedsideFinding[] {
  try {
    return find().map(bedsideFinding)
  } catch (error) {
    if (error instanceof BadInput) return [notChecked(line, `${error.message}.`)]
    throw error
  }
}

function byTheHour({ text, medicineId }: OrderedMedicine): BedsideFinding {
  return {
    code: `not-checked:${medicineId ?? text}`,
    severity: 'note',
    what: `${text} runs continuously: no gap and no total of 24 hours apply; its hourly dose was judged with the order.`,
    why: 'Gaps and daily totals are published for single doses.',
    sources: NOT_DROPPED,
  }
}

const NOT_DROPPED = ['A check that cannot be done is said, never left out (design rule)']

function notChecked({ text, medicineId }: OrderedMedicine, why: string): BedsideFinding {
  return {
    code: `not-checked:${medicineId ?? text}`,
    severity: 'ask',
    what: `Time since the last dose and total of 24 hours were not checked for ${text}: look them up.`,
    why,
    sources: NOT_DROPPED,
  }
}
