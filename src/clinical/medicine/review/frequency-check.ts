import { unitSpelled } from '../dose/amount.ts'
import { above, exact, figure, times } from '../dose/exact.ts'
import { type Counted, countedAmount } from '../dose/of-medicine.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine } from '../formulary/medicine-schema.ts'
import { type Draft, drafted, ruleOf } from './finding.ts'
import type { OrderLine, OrderToReview } from './order.ts'
import type { PatientFacts } from './patient.ts'
import { matches } from './who.ts'

type Patient = Pick<PatientFacts, 'ageDays' | 'weightKg'>

/** How often a medicine is ordered, against its shortest gap and the total of 24 hours. */
export function frequencyDrafts(
  formulary: Formulary,
  medicine: Medicine,
  line: OrderLine,
  order: OrderToReview,
  patient: Patient,
  acute: boolean,
): Draft[] {
  if (order.frequency?.continuous) return []
  return [...gapDrafts(), ...totalDrafts()]

  function gapDrafts(): Draft[] {
    const every = order.prn?.minimumGapMinutes ?? order.frequency?.everyMinutes ?? null
    const { gapRoutine, gapAcute } = medicine.timing
    const shortest = acute ? gapAcute : gapRoutine
    if (every === null || shortest === null || every >= shortest.minutes) return []
    const why = `ordered every ${every} min; the shortest ${acute ? 'acute' : 'routine'} gap is ${shortest.minutes} min`
    return [
      fromRule(
        'too-early',
        `${medicine.name}: the doses are closer than the shortest gap: confirm`,
        why,
        shortest,
      ),
    ]
  }

  function totalDrafts(): Draft[] {
    const daily = perDay(order)
    const largest = largestAmount(medicine, line)
    const entry = medicine.timing.max24h.find(({ who }) => matches(who, patient) === 'yes')
    const most = entry && countedAmount(medicine, entry, null)
    if (daily === null || !largest || !entry || !most || most.unit !== largest.unit) return []
    const total = times(largest.value, exact(daily))
    if (!above(total, most.value)) return []
    const why = `${daily} times ${figure(largest.value)} ${largest.unit} is ${figure(total)} ${largest.unit} in 24 h; published ${figure(most.value)} ${most.unit}${entry.note ? ` (${entry.note})` : ''}`
    return [
      fromRule(
        'over-24-hours',
        `${medicine.name}: the total of 24 hours is above the published regimen: confirm`,
        why,
        entry,
      ),
    ]
  }

  /** An acute order goes beyond the routine on purpose: it is shown and not asked again. */
  function fromRule(
    kind: 'too-early' | 'over-24-hours',
    what: string,
    why: string,
    backed: Parameters<Formulary['sources']>[0],
  ): Draft {
    const rule = ruleOf(formulary, kind)
    const severity = acute && kind === 'over-24-hours' ? 'note' : (rule?.severity ?? 'ask')
    const sources = [...formulary.sources(backed), ...(rule ? formulary.sources(rule) : [])]
    return drafted(
      {
        code: `${kind}:${medicine.id}`,
        severity,
        what,
        why,
        whoMustAnswer: rule?.whoMustAnswer ?? 'prescriber',
      },
      sources,
    )
  }
}

/** How many doses an order can come to in a day; for one as needed, as many as its shortest gap allows. */
export function perDay({ frequency, prn }: OrderToReview): number | null {
  if (frequency?.once) return 1
  const every = prn?.minimumGapMinutes ?? frequency?.everyMinutes
  if (every) return Math.max(1, Math.floor(1440 / every))
  return frequency?.timesPerDay ?? null
}

/** The largest amount that one dose of an order line can come to, as the medicine is counted; null when it cannot. */
export function largestAmount(medicine: Medicine, line: OrderLine): Counted | null {
  const value = line.amountMax ?? line.amountMin
  const unit = unitSpelled(line.unit ?? '')
  return value === null || unit === null
    ? null
    : countedAmount(medicine, { value, unit }, line.strength ?? null)
}
