import type { Worked } from '../../worked.ts'
import { unitSpelled } from '../dose/amount.ts'
import { above, type Exact, equals, exact, figure, sum, times, toNumber } from '../dose/exact.ts'
import { type Counted, countedAmount } from '../dose/of-medicine.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine, Most } from '../formulary/medicine-schema.ts'
import { once } from '../working.ts'
import { type Draft, drafted, ruleOf } from './finding.ts'
import { largestAmount, perDay } from './frequency-check.ts'
import type { OrderLine, OrderToReview } from './order.ts'
import { type PatientFacts, partsOf, requirePlausible } from './patient.ts'
import { matches } from './who.ts'

type Patient = Pick<PatientFacts, 'ageDays' | 'weightKg'>

/** What the orders of one patient come to of one drug in 24 hours, at most, if every dose that they allow is given. */
export type PlannedTotal = {
  readonly medicineId: string
  readonly total: Worked
  readonly most: { readonly value: number; readonly note: string | null } | null
  readonly over: boolean
  /** How many of the orders are in the total. */
  readonly orders: number
  /** Order lines with this drug that could not be counted in, with the reason: never left out unsaid. */
  readonly uncounted: readonly string[]
}

type Share = {
  readonly order: number
  readonly medicine: Medicine
  readonly value: Exact
  readonly unit: Counted['unit']
  readonly step: string
}
type Uncounted = { readonly why: string }

/**
 * The planned 24 hours of every drug over all orders together: largest dose times the doses in a day, for one as
 * needed as many as its shortest gap allows. A combination counts toward each of its drugs. The maximum is the
 * drug's own; the combination's own where nothing but that combination is ordered.
 * @throws BadInput for an amount that cannot be used, and for an age or weight that no person has
 */
export function plannedTotals(
  formulary: Formulary,
  orders: readonly OrderToReview[],
  patient: Patient,
): readonly PlannedTotal[] {
  requirePlausible(patient)
  const lines = orders.flatMap((order, at) =>
    order.medicines
      .filter(({ part }) => part === 'medicine')
      .flatMap((line) => {
        const medicine = line.medicineId === null ? null : formulary.medicine(line.medicineId)
        return medicine ? [{ order, at, line, medicine }] : []
      }),
  )
  const drugs = once(lines.flatMap(({ medicine }) => partsOf(formulary, medicine)))
  return drugs.map((drug) => {
    const about = lines.filter(({ medicine }) => partsOf(formulary, medicine).includes(drug))
    const shares = about.map(({ order, at, line, medicine }) => shareOf(drug, medicine, line, order, at))
    return totalOf(formulary, drug, shares, patient)
  })
}

function totalOf(
  formulary: Formulary,
  drug: Medicine,
  shares: readonly (Share | Uncounted)[],
  patient: Patient,
): PlannedTotal {
  const counted = shares.filter((share): share is Share => 'value' in share)
  const unit = counted[0]?.unit ?? 'mg'
  const alike = counted.filter((share) => share.unit === unit)
  const value = sum(alike.map((share) => share.value))
  const most = mostOf(drug, alike, patient)
  const together =
    alike.length > 1
      ? [`${alike.map((share) => figure(share.value)).join(' + ')} ${equals(value)} ${unit}`]
      : []
  const compared = most ? [`published most: ${figure(most.value)} ${most.unit} in 24 h`] : []
  return {
    medicineId: drug.id,
    total: {
      value: toNumber(value),
      unit,
      steps: [...alike.map(({ step }) => step), ...together, ...compared],
      sources: most ? formulary.sources(most.entry) : [],
    },
    most: most && { value: toNumber(most.value), note: most.entry.note ?? null },
    over: most !== null && most.unit === unit && above(value, most.value),
    orders: new Set(alike.map(({ order }) => order)).size,
    uncounted: [
      ...shares.flatMap((share) => ('why' in share ? [share.why] : [])),
      ...counted.filter((share) => share.unit !== unit).map(({ step }) => `${step}: not counted in ${unit}`),
    ],
  }
}

/** What one line of an order comes to of one drug in a day, or why that cannot be said. */
function shareOf(
  drug: Medicine,
  medicine: Medicine,
  line: OrderLine,
  order: OrderToReview,
  at: number,
): Share | Uncounted {
  if (order.frequency?.continuous) return { why: `${line.text}: runs continuously, judged by the hour` }
  const daily = perDay(order)
  if (daily === null) return { why: `${line.text}: how often is not said` }
  const largest = largestAmount(medicine, line)
  if (largest === null) return { why: `${line.text}: ${writtenAmount(line)} cannot be counted` }
  const component = medicine.components?.find(({ medicineId }) => medicineId === drug.id)
  const each = component ? times(largest.value, exact(component.amountMg)) : largest.value
  const unit = component ? ('mg' as const) : largest.unit
  const value = times(each, exact(daily))
  const vials = component ? ` (${figure(largest.value)} ${largest.unit})` : ''
  const step = `${line.text}: ${daily} times ${figure(each)} ${unit}${vials} ${equals(value)} ${unit}`
  return { order: at, medicine, value, unit, step }
}

function writtenAmount({ amountMin, amountMax, unit }: OrderLine): string {
  const amount = amountMax ?? amountMin
  if (amount === null) return 'a dose that is not said'
  return `${amount} ${unit && unitSpelled(unit) === null ? `${unit} (unit not known)` : (unit ?? 'without a unit')}`
}

/** The published maximum that these orders are held against. */
function mostOf(
  drug: Medicine,
  shares: readonly Share[],
  patient: Patient,
): { readonly entry: Most; readonly value: Exact; readonly unit: Counted['unit'] } | null {
  const [only, ...others] = once(shares.map(({ medicine }) => medicine))
  const judged = only !== undefined && others.length === 0 ? only : drug
  const entry = judged.timing.max24h.find(({ who }) => matches(who, patient) === 'yes')
  const counted = entry && countedAmount(judged, entry, null)
  if (!entry || !counted) return null
  const component = judged.components?.find(({ medicineId }) => medicineId === drug.id)
  if (component === undefined) return { entry, ...counted }
  return { entry, value: times(counted.value, exact(component.amountMg)), unit: 'mg' }
}

/** An order together with the others in force: where a drug's planned total is more than is published. */
export function plannedTotalDrafts(
  formulary: Formulary,
  order: OrderToReview,
  others: readonly OrderToReview[],
  patient: Patient,
  acute: boolean,
): Draft[] {
  const own = new Set(plannedTotals(formulary, [order], patient).map(({ medicineId }) => medicineId))
  const rule = ruleOf(formulary, 'over-24-hours')
  return plannedTotals(formulary, [order, ...others], patient)
    .filter(({ medicineId, over, orders }) => over && orders > 1 && own.has(medicineId))
    .map(({ medicineId, total, most, uncounted }) =>
      drafted(
        {
          code: `planned-over-24-hours:${medicineId}`,
          severity: acute ? 'note' : (rule?.severity ?? 'ask'),
          what: `${formulary.medicine(medicineId)?.name ?? medicineId}: all orders together come to ${total.value} ${total.unit} in 24 h; the published most is ${most?.value} ${total.unit}: confirm`,
          why: [...total.steps, ...uncounted.map((each) => `not counted: ${each}`)].join('; '),
          whoMustAnswer: rule?.whoMustAnswer ?? 'prescriber',
        },
        [...total.sources, ...(rule ? formulary.sources(rule) : [])],
      ),
    )
}
