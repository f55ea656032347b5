import { BadInput, type Worked } from '../../worked.ts'
import type { Amount, AmountUnit } from '../dose/amount.ts'
import { above, type Exact, equals, exact, figure, plus, sum, times, toNumber, ZERO } from '../dose/exact.ts'
import { countedAmount } from '../dose/of-medicine.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine, Most } from '../formulary/medicine-schema.ts'
import { partsOf, requirePlausible } from '../review/patient.ts'
import { matches } from '../review/who.ts'
import { SOURCES } from '../sources.ts'

const MINUTE_MS = 60_000
const DAY_MS = 24 * 60 * MINUTE_MS

/** A dose that was given, by whatever route; its instant in ISO 8601. */
export type GivenDose = {
  readonly medicineId: string
  readonly amount: Amount
  readonly strength?: string | null
  readonly route: string
  readonly at: string
}

/** A dose that is about to be given, or is written down late. */
export type ProposedDose = Omit<GivenDose, 'route'> & {
  readonly acute: boolean
  readonly ageDays: number | null
  readonly weightKg: number | null
}

/** Time to the nearest dose of the same drug, before or after, and the shortest gap that is published. */
export type GapCheck = {
  readonly minutesToNearest: number | null
  readonly shortestMinutes: number | null
  readonly tooEarly: boolean
  /** When the gap will have passed since the last dose before; null when there was none or no gap is known. */
  readonly earliest: string | null
}

/** What any 24 hours around the proposed dose would hold of one drug, by every route that was recorded. */
export type DayTotal = {
  readonly medicineId: string
  readonly total: Worked
  readonly byRoute: Readonly<Record<string, number>>
  readonly most: { readonly value: number; readonly note: string | null; readonly entry: Most } | null
  readonly over: boolean
  /** Doses that could not be counted in, with the reason: never left out unsaid. */
  readonly uncounted: readonly string[]
}

export type HistoryCheck = { readonly gap: GapCheck; readonly totals: readonly DayTotal[] }

const UCUM: Partial<Record<AmountUnit, string>> = { 'million IU': '10*6.[iU]', vial: '{vial}' }

/**
 * A proposed dose against what was given: the gap to the nearest dose, and the most that any 24 hours which hold it
 * would add up to. A combination counts toward each of its drugs. A dose exactly 24 h away is no longer counted.
 * @throws BadInput for an unknown medicine, an instant that cannot be read, an age or weight that no person has, or an
 * amount that cannot be used
 */
export function checkHistory(
  formulary: Formulary,
  proposed: ProposedDose,
  history: readonly GivenDose[],
): HistoryCheck {
  requirePlausible(proposed)
  const medicine = knownMedicine(formulary, proposed.medicineId)
  const at = instant('at', proposed.at)
  const parts = partsOf(formulary, medicine)
  const related = history.filter((dose) => {
    const given = formulary.medicine(dose.medicineId)
    return given !== null && partsOf(formulary, given).some(({ id }) => parts.some((part) => part.id === id))
  })
  return {
    gap: gapCheck(medicine, proposed.acute, at, related),
    totals: parts.map((part) => dayTotal(formulary, medicine, part, proposed, related)),
  }
}

function gapCheck(medicine: Medicine, acute: boolean, at: number, related: readonly GivenDose[]): GapCheck {
  const times = related.map((dose) => instant('history', dose.at))
  const before = times.filter((time) => time <= at)
  const nearest = times.length === 0 ? null : Math.min(...times.map((time) => Math.abs(at - time)))
  const { gapRoutine, gapAcute } = medicine.timing
  const shortest = (acute ? gapAcute : gapRoutine)?.minutes ?? null
  const lastBefore = before.length === 0 ? null : Math.max(...before)
  return {
    minutesToNearest: nearest === null ? null : nearest / MINUTE_MS,
    shortestMinutes: shortest,
    tooEarly: nearest !== null && shortest !== null && nearest < shortest * MINUTE_MS,
    earliest:
      lastBefore === null || shortest === null
        ? null
        : new Date(lastBefore + shortest * MINUTE_MS).toISOString(),
  }
}

type Share = { readonly at: number; readonly route: string; readonly value: Exact; readonly unit: AmountUnit }

function dayTotal(
  formulary: Formulary,
  ordered: Medicine,
  part: Medicine,
  proposed: ProposedDose,
  related: readonly GivenDose[],
): DayTotal {
  const own = shareOf(formulary, part, { ...proposed, route: 'proposed' })
  if (own === null)
    throw new BadInput('amount', `${proposed.amount.value} ${proposed.amount.unit}`, notCounted(ordered))
  const given = related.map((dose) => ({ dose, share: shareOf(formulary, part, dose) }))
  const uncounted = given
    .filter(({ share }) => share !== null && share.unit !== own.unit)
    .concat(given.filter(({ share, dose }) => share === null && holdsPart(formulary, part, dose)))
    .map(
      ({ dose }) => `${dose.amount.value} ${dose.amount.unit} at ${dose.at} cannot be counted in ${own.unit}`,
    )
  const shares = given.flatMap(({ share }) => (share !== null && share.unit === own.unit ? [share] : []))
  const worst = fullestDay(own, shares)
  const value = sum(worst.map((share) => share.value))
  const unit = UCUM[own.unit] ?? own.unit
  const most = mostFor(ordered, part, proposed)
  return {
    medicineId: part.id,
    total: {
      value: toNumber(value),
      unit,
      steps: [
        `${worst.map((share) => figure(share.value)).join(' + ')} ${equals(value)} ${own.unit} in 24 h`,
        ...(most === null ? [] : [`published most: ${figure(most.value)} ${most.unit} in 24 h`]),
      ],
      sources: most === null ? [SOURCES.definition] : formulary.sources(most.entry),
    },
    byRoute: byRoute(worst),
    most: most && { value: toNumber(most.value), note: most.entry.note ?? null, entry: most.entry },
    over: most !== null && most.unit === own.unit && above(value, most.value),
    uncounted,
  }
}

/** Whether a dose holds any of one drug. */
function holdsPart(formulary: Formulary, part: Medicine, dose: GivenDose): boolean {
  const medicine = formulary.medicine(dose.medicineId)
  return medicine !== null && partsOf(formulary, medicine).some(({ id }) => id === part.id)
}

/** How much of one drug a dose holds; null when the dose holds none of it or cannot be counted. */
function shareOf(formulary: Formulary, part: Medicine, dose: GivenDose): Share | null {
  const medicine = formulary.medicine(dose.medicineId)
  if (medicine === null) return null
  const counted = countedAmount(medicine, dose.amount, dose.strength ?? null)
  if (counted === null) return null
  const at = instant('history', dose.at)
  if (medicine.id === part.id) return { at, route: dose.route, ...counted }
  const component = medicine.components?.find(({ medicineId }) => medicineId === part.id)
  if (component === undefined || counted.unit !== 'vial') return null
  return { at, route: dose.route, value: times(counted.value, exact(component.amountMg)), unit: 'mg' }
}

/** Of all spans of 24 hours that hold the proposed dose, the one with the most in it. */
function fullestDay(own: Share, given: readonly Share[]): readonly Share[] {
  const all = [own, ...given]
  const ends = all.map(({ at }) => at).filter((end) => end >= own.at && end < own.at + DAY_MS)
  const spans = ends.map((end) => all.filter(({ at }) => at > end - DAY_MS && at <= end))
  return spans.reduce((fullest, span) =>
    above(sum(span.map(({ value }) => value)), sum(fullest.map(({ value }) => value))) ? span : fullest,
  )
}

/** The published maximum of a drug; within a combination the combination's own, which may be higher. */
function mostFor(ordered: Medicine, part: Medicine, patient: ProposedDose) {
  const entry = ordered.timing.max24h.find(({ who }) => matches(who, patient) === 'yes')
  if (entry === undefined) return null
  const counted = countedAmount(ordered, entry, null)
  if (counted === null) return null
  const component = ordered.components?.find(({ medicineId }) => medicineId === part.id)
  const value = component ? times(counted.value, exact(component.amountMg)) : counted.value
  return { entry, value, unit: component ? ('mg' as const) : counted.unit }
}

function byRoute(shares: readonly Share[]): Record<string, number> {
  const totals = new Map<string, Exact>()
  for (const { route, value } of shares) totals.set(route, plus(totals.get(route) ?? ZERO, value))
  return Object.fromEntries([...totals].map(([route, total]) => [route, toNumber(total)]))
}

function knownMedicine(formulary: Formulary, id: string): Medicine {
  const medicine = formulary.medicine(id)
  if (medicine === null) throw new BadInput('medicineId', id, 'an id of the formulary')
  return medicine
}

function notCounted({ supply }: Medicine): string {
  return `an amount in ${[...new Set(supply.map(({ unit }) => unit))].join(' or ')}, or in mL with the strength`
}

function instant(field: string, text: string): number {
  const at = Date.parse(text)
  if (Number.isNaN(at)) throw new BadInput(field, text, 'an instant in ISO 8601')
  return at
}
