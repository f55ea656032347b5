import { type Amount, type AmountUnit, unitSpelled } from '../dose/amount.ts'
import { doseByWeight } from '../dose/by-weight.ts'
import { above, type Exact, exact, figure, positive, same, times } from '../dose/exact.ts'
import { type Counted, countedAmount } from '../dose/of-medicine.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { DoseEntry, Medicine } from '../formulary/medicine-schema.ts'
import { byRule, type Draft, draft, drafted, type Said } from './finding.ts'
import type { OrderLine } from './order.ts'
import type { PatientFacts } from './patient.ts'
import { matches } from './who.ts'

/** From this many times the largest dose on, a slip of the decimal point is named; common practice, no source. */
const SLIP = exact(5)

type Patient = Pick<PatientFacts, 'ageDays' | 'weightKg'>
type Kind = { readonly acute: boolean; readonly continuous: boolean }
type Range = {
  readonly entry: DoseEntry
  readonly low: Exact
  readonly high: Exact
  readonly unit: AmountUnit
}

/** The ordered dose of one medicine against the published single doses for this age and weight. */
export function doseDrafts(
  formulary: Formulary,
  medicine: Medicine,
  line: OrderLine,
  patient: Patient,
  kind: Kind,
): Draft[] {
  const ordered = [line.amountMin, line.amountMax].filter((amount) => amount !== null)
  if (ordered.length === 0 || line.unit === null || line.unit.trim() === '') return [] // told as missing
  const hourly = /\/h$/.test(line.unit.trim())
  const unit = unitSpelled(line.unit.trim().replace(/\/h$/, ''))
  if (unit === null)
    return [say('unit-unknown', 'stop', `ask for the dose in a known unit: ${line.unit}`, UNREAD)]

  const amounts = ordered.map((value) => countedAmount(medicine, { value, unit }, line.strength ?? null))
  if (amounts.some((amount) => amount === null)) return [notCounted(unit)]
  const counted = amounts.filter((amount) => amount !== null)
  const speaksOfRate = kind.continuous || hourly
  const entries = medicine.doses.filter(({ use }) => (use === 'continuous') === speaksOfRate)
  return judged(entries, counted, speaksOfRate)

  function judged(entries: readonly DoseEntry[], counted: readonly Counted[], rate: boolean): Draft[] {
    const gaps = unknowns(entries)
    if (gaps.length > 0) return gaps
    const about = entries.filter(({ who }) => matches(who, patient) === 'yes')
    const all = about.flatMap((entry) => ranges(medicine, entry, patient.weightKg))
    if (all.length === 0) return [outside(about.length > 0 ? about : entries, rate)]
    const usual = all.filter(({ entry }) => kind.acute || entry.use !== 'acute')
    return counted.flatMap((amount) => againstRanges(amount, usual.length > 0 ? usual : all, all, rate))
  }

  function unknowns(entries: readonly DoseEntry[]): Draft[] {
    const open = entries.filter(({ who }) => matches(who, patient) === 'unknown')
    const needsAge = patient.ageDays === null && open.some(({ who }) => who?.fromDays ?? who?.belowDays)
    const needsWeight =
      patient.weightKg === null &&
      entries.some(
        (entry) =>
          matches(entry.who, patient) !== 'no' &&
          (entry.perKg ?? entry.mgPerKgHour ?? entry.who?.fromKg ?? entry.who?.belowKg),
      )
    const why = 'the published dose depends on it, so this one could not be checked'
    return [
      ...(needsAge ? [say('age-missing', 'ask', 'ask for the age', why)] : []),
      ...(needsWeight ? [say('weight-missing', 'ask', 'weigh the patient, or ask for the weight', why)] : []),
    ]
  }

  function againstRanges(
    amount: Counted,
    usual: readonly Range[],
    all: readonly Range[],
    rate: boolean,
  ): Draft[] {
    const comparable = usual.filter((range) => range.unit === amount.unit)
    if (comparable.length === 0) return [notCounted(unit ?? amount.unit)]
    const [low, high] = [lowest(comparable), highest(comparable)]
    const most = highest(all.filter((range) => range.unit === amount.unit))
    const per = rate ? `${amount.unit}/h` : amount.unit
    const shown = same(low, high) ? `${figure(low)} ${per}` : `${figure(low)} to ${figure(high)} ${per}`
    const why = `ordered ${figure(amount.value)} ${per}; published ${shown}: ${texts(comparable)}`
    if (above(low, amount.value)) {
      return [
        from(comparable, say('dose-below', 'ask', 'the dose is below the published range: confirm it', why)),
      ]
    }
    if (!above(amount.value, high)) return []
    if (!above(amount.value, most)) {
      return [
        from(
          comparable,
          say(
            'dose-above-usual',
            'ask',
            'the dose is above the usual one and within the largest published: confirm that it is meant',
            why,
          ),
        ),
      ]
    }
    const slip = above(amount.value, times(high, SLIP)) ? '; a slip of the decimal point is possible' : ''
    return [
      from(
        all,
        say(
          'dose-above',
          'stop',
          `the dose is above any published single dose${slip}: call the prescriber`,
          `${why}; largest published single dose ${figure(most)} ${per}`,
        ),
      ),
    ]
  }

  function outside(about: readonly DoseEntry[], rate: boolean): Draft {
    const sources = about.flatMap((entry) => formulary.sources(entry))
    const what = rate
      ? 'no hourly dose is published for this patient: ask'
      : 'no dose is published for this patient: ask'
    const why = about.map(({ text }) => text).join('; ') || 'the formulary has no entry for it'
    return drafted(said('no-published-dose', 'ask', what, why), sources)
  }

  function notCounted(written: AmountUnit): Draft {
    const units = [...new Set(medicine.supply.map((pack) => pack.unit))].join(' or ')
    const why =
      written === 'mL'
        ? 'packs of different strength exist, and the order does not say which'
        : `packs are counted in ${units}; ${written} is never turned into that here`
    return say('dose-not-comparable', 'ask', `ask for the dose in ${units}`, why, 'pharmacist')
  }

  function said(
    code: string,
    severity: Said['severity'],
    what: string,
    why: string,
    who: Said['whoMustAnswer'] = 'prescriber',
  ): Said {
    return {
      code: `${code}:${medicine.id}`,
      severity,
      what: `${medicine.name}: ${what}`,
      why,
      whoMustAnswer: who,
    }
  }

  function say(
    code: string,
    severity: Said['severity'],
    what: string,
    why: string,
    who?: Said['whoMustAnswer'],
  ): Draft {
    return draft(formulary, said(code, severity, what, why, who), byRule('order-rules'))
  }

  /** The same finding, resting on the entries that it was measured against. */
  function from(ranges: readonly Range[], { sources: _, ...rest }: Draft): Draft {
    return drafted(
      rest,
      ranges.flatMap(({ entry }) => formulary.sources(entry)),
    )
  }
}

const UNREAD = 'the unit cannot be read one way only'

/** A dose entry in figures for this weight, in the unit that the medicine is counted in. */
function ranges(medicine: Medicine, entry: DoseEntry, weightKg: number | null): Range[] {
  const counted = (value: number, unit: AmountUnit) => countedAmount(medicine, { value, unit }, null)
  const range = (low: Amount, high: Amount): Range[] => {
    const [from, to] = [counted(low.value, low.unit), counted(high.value, high.unit)]
    return from && to ? [{ entry, low: from.value, high: to.value, unit: from.unit }] : []
  }
  const { amount, perKg, mgPerHour, mgPerKgHour } = entry
  const fixed = amount
    ? range({ value: amount.low, unit: amount.unit }, { value: amount.high, unit: amount.unit })
    : []
  const hourly: Range[] = mgPerHour
    ? [{ entry, low: exact(mgPerHour.low), high: exact(mgPerHour.high), unit: 'mg' }]
    : []
  if (weightKg === null) return [...fixed, ...hourly]
  return [
    ...fixed,
    ...hourly,
    ...(perKg
      ? byWeight(perKg, weightKg).flatMap(([low, high]) =>
          range({ value: low, unit: perKg.unit }, { value: high, unit: perKg.unit }),
        )
      : []),
    ...(mgPerKgHour ? [hourlyRange(entry, mgPerKgHour, weightKg)] : []),
  ]
}

function byWeight(
  { low, high, atLeast, atMost, fixed }: NonNullable<DoseEntry['perKg']>,
  weightKg: number,
): (readonly [number, number])[] {
  const limits = { ...(atLeast !== undefined && { atLeast }), ...(atMost !== undefined && { atMost }) }
  const at = (perKg: number) => doseByWeight(weightKg, perKg, limits).given.value
  return [[at(low), at(high)], ...(fixed ? [[fixed.value, fixed.value] as const] : [])]
}

function hourlyRange(
  entry: DoseEntry,
  { rate, atMost }: NonNullable<DoseEntry['mgPerKgHour']>,
  weightKg: number,
): Range {
  const given = doseByWeight(weightKg, rate, atMost === undefined ? {} : { atMost }).given.value
  const value = positive('rate', given, 'mg/h')
  return { entry, low: value, high: value, unit: 'mg' }
}

function lowest(ranges: readonly Range[]): Exact {
  return ranges.map(({ low }) => low).reduce((least, low) => (above(least, low) ? low : least))
}

function highest(ranges: readonly Range[]): Exact {
  return ranges.map(({ high }) => high).reduce((most, high) => (above(high, most) ? high : most))
}

const texts = (ranges: readonly Range[]) => [...new Set(ranges.map(({ entry }) => entry.text))].join('; ')
