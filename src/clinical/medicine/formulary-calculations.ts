import { z } from 'zod'
import { type Calculation, calculation } from '../calculation.ts'
import { BadInput } from '../worked.ts'
import {
  CupQuestion,
  CycleQuestion,
  HistoryQuestion,
  PairQuestion,
  PlannedQuestion,
  ReviewQuestion,
} from './calculation-inputs.ts'
import type { Formulary } from './formulary/formulary.ts'
import { drugNamed } from './mixture/drug-named.ts'
import { mixture } from './mixture/mixture.ts'
import type { PairFacts } from './mixture/pair.ts'
import { productFacts } from './mixture/products.ts'
import { reviewOrder } from './review/order-review.ts'
import { type PlannedTotal, plannedTotals } from './review/planned-total.ts'
import { cyclePlace } from './timing/cycle.ts'
import { checkHistory, type DayTotal, type GapCheck } from './timing/dose-history.ts'
import { once, sourcesOnce, workingOf } from './working.ts'

/** The calculations that answer by a formulary, in the order of their names' first use. */
export function formularyCalculations(formulary: Formulary): readonly Calculation[] {
  return [
    mixtureBy(formulary),
    reviewBy(formulary),
    dailyBy(formulary),
    plannedBy(formulary),
    cycleBy(formulary),
  ]
}

const mixtureBy = (formulary: Formulary): Calculation =>
  calculation({
    name: 'mixture',
    purpose:
      'Two drugs by name: what laboratory and label say of them in one cup; or a cup with its volumes in mL: diluent, verdict, order of adding, findings.',
    input: z.union([PairQuestion, CupQuestion]),
    run: (asked) => {
      if (!('a' in asked)) {
        const made = mixture(formulary, asked)
        const working = workingOf([made.drug, made.diluent])
        const pairs = made.pairs.map(pairResult)
        const sources = sourcesOnce([...working.sources, ...made.pairs.flatMap((pair) => pair.sources)])
        const { drug, diluent, ...rest } = made
        return {
          result: { ...rest, pairs, drugMl: drug.value, diluentMl: diluent.value } as Record<string, unknown>,
          working: { ...working, sources },
        }
      }
      const facts = productFacts(
        formulary,
        drugNamed(formulary, 'a', asked.a),
        drugNamed(formulary, 'b', asked.b),
      )
      const within =
        facts.useWithinMin === null ? [] : [`to be used within ${facts.useWithinMin} min of mixing`]
      const steps = [facts.why, ...facts.notes, ...within]
      return { result: pairResult(facts), working: { steps, sources: facts.sources, cautions: [] } }
    },
  })

/** A pair under the names that the published table uses. */
function pairResult(facts: PairFacts): Record<string, unknown> {
  const { a, b, verdict, inVitro, label, useWithinMin, duplicate, why, notes } = facts
  const use_within_min = useWithinMin
  return { a, b, in_vitro: inVitro, label_position: label, use_within_min, verdict, duplicate, why, notes }
}

const reviewBy = (formulary: Formulary): Calculation =>
  calculation({
    name: 'order-review',
    purpose:
      'Reviews an order for a patient: findings with severity, sources and who must answer, and equipment.',
    input: ReviewQuestion,
    run: ({ order, patient }) => {
      const { steps, sources, ...result } = reviewOrder(formulary, order, patient)
      return { result, working: { steps, sources, cautions: [formulary.document.caution] } }
    },
  })

const dailyBy = (formulary: Formulary): Calculation =>
  calculation({
    name: 'daily-total',
    purpose:
      'A dose against those given before: minutes to the nearest, the shortest gap, and the largest total over any 24 h by every route.',
    input: HistoryQuestion,
    run: ({ proposed, history }) => {
      for (const [i, { medicineId }] of history.entries()) {
        if (formulary.medicine(medicineId) === null)
          throw new BadInput(`history[${i}].medicineId`, medicineId, 'an id of the formulary')
      }
      const { gap, totals } = checkHistory(formulary, proposed, history)
      const told = totalsTold(totals)
      const { working } = told
      const steps = [...gapSteps(gap), ...working.steps]
      const sources = sourcesOnce([...sourcesOfTiming(formulary, proposed.medicineId), ...working.sources])
      return { result: { gap, ...told.result }, working: { ...working, steps, sources } }
    },
  })

const plannedBy = (formulary: Formulary): Calculation =>
  calculation({
    name: 'planned-total',
    purpose:
      'All orders of one patient together: what each drug comes to in 24 h at most, against the published maximum.',
    input: PlannedQuestion,
    run: ({ orders, ageDays, weightKg }) => {
      return totalsTold(plannedTotals(formulary, orders, { ageDays, weightKg }))
    },
  })

/** The time to the nearest dose, held against the shortest gap. */
function gapSteps({ minutesToNearest, shortestMinutes, tooEarly }: GapCheck): string[] {
  if (minutesToNearest === null) return ['no other dose of it is known of']
  const nearest = `${minutesToNearest} min to the nearest dose`
  if (shortestMinutes === null) return [`${nearest}; no shortest gap is published`]
  return [`${nearest}, ${shortestMinutes} min at least: ${tooEarly ? 'too early' : 'long enough'}`]
}

function sourcesOfTiming(formulary: Formulary, medicineId: string) {
  const medicine = formulary.medicine(medicineId)
  return medicine === null ? [] : formulary.sources(medicine.timing)
}

/** Totals over 24 h as they are told: plain figures, one working, and what could not be counted as cautions. */
function totalsTold(totals: readonly (DayTotal | PlannedTotal)[]) {
  const result = {
    totals: totals.map(({ total, most, ...rest }) => ({
      ...rest,
      total: total.value,
      unit: total.unit,
      most: most?.value ?? null,
    })),
  }
  const working = workingOf(totals.map(({ total }) => total))
  return { result, working: { ...working, cautions: once(totals.flatMap(({ uncounted }) => uncounted)) } }
}

const cycleBy = (formulary: Formulary): Calculation =>
  calculation({
    name: 'course-day',
    purpose:
      'A drug that is given in turns, such as 28 days on and 28 days off: the day of the course and whether it is on or off.',
    input: CycleQuestion,
    run: ({ medicineId, given, at }) => {
      const place = cyclePlace(formulary, medicineId, given, at)
      if (place === null) {
        const steps = [`${medicineId} is not given in turns`]
        const sources = sourcesOfTiming(formulary, medicineId)
        return { result: { phase: 'no turns' }, working: { steps, sources, cautions: [] } }
      }
      const { steps, sources, ...result } = place
      return { result, working: { steps, sources, cautions: [] } }
    },
  })
