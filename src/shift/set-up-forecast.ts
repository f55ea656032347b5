import { adviseSetUp } from '../chart/bedside/advise-set-up.ts'
import { forecastVisit } from '../chart/bedside/forecast-visit.ts'
import { planCup } from '../chart/bedside/plan-cup.ts'
import { productsFor } from '../chart/bedside/products.ts'
import { choiceOf, type SetUpChoice } from '../chart/bedside/set-up-choice.ts'
import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import { formularyFrom } from '../chart/documents/formulary-in-force.ts'
import type { OrderBody } from '../chart/facts/orders.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { type OrderState, termsAt } from '../chart/folds/order.ts'
import { ageAt, type PatientState } from '../chart/folds/patient.ts'
import type { BodyOf } from '../chart/registry.ts'
import { lastMeasured } from '../chart/stages/measure.ts'

type Documents = DocumentsInForce['documents']

/** How an order will be given, as far as it can be said beforehand: the set-up, what goes into the cup, how long it runs. */
export type ExpectedRun = {
  readonly choice: SetUpChoice
  /** The set-up was chosen for this order before; else it is what would be advised. */
  readonly asBefore: boolean
  readonly cup: Pick<BodyOf<'prepared'>, 'portions' | 'totalMl'> | null
  /** Forecast run time [min]; null when no forecast can be made. */
  readonly runMinutes: number | null
  readonly whyNot: string | null
}

/** The medicines of an order that the formulary knows. */
export function medicineIdsOf(terms: OrderBody): string[] {
  return terms.medicines.flatMap(({ medicineId, part }) =>
    part === 'medicine' && medicineId !== null ? [medicineId] : [],
  )
}

/** Expects of an order what was done for it last; of a new one what the bedside would advise. */
export function expectedRun(chart: Chart, order: OrderState, documents: Documents, at: string): ExpectedRun {
  const terms = termsAt(order, at)
  const patient = chart.patient(order.patientId)
  const before = chart
    .visitsOf(order.orderId)
    .findLast((visit) => visit.setUp !== null && visit.setUp.at <= at)
  const choice = before?.setUp
    ? choiceOf(before.setUp.body)
    : advised(chart, patient, medicineIdsOf(terms), documents, at)
  const cup = cupFor(terms, documents)
  if ('refused' in cup)
    return { choice, asBefore: before !== undefined, cup: null, runMinutes: null, whyNot: cup.refused }
  const { runMinutes, whyNot } = forecastOf(choice, cup, patient, documents, at)
  return { choice, asBefore: before !== undefined, cup, runMinutes, whyNot }
}

function advised(
  chart: Chart,
  patient: PatientState,
  medicineIds: readonly string[],
  documents: Documents,
  at: string,
): SetUpChoice {
  const measured = chart
    .ordersOf(patient.patientId)
    .flatMap((order) => chart.visitsOf(order.orderId))
    .filter((visit) => visit.opened.at <= at)
    .sort((a, b) => (a.opened.at < b.opened.at ? -1 : 1))
    .flatMap((visit) => lastMeasured(visit, 'before') ?? [])
    .at(-1)
  const values = measured?.values ?? { ...(patient.oxygen && { spo2On: patient.oxygen }) }
  return adviseSetUp(formularyFrom(documents), values, patient, medicineIds, documents.cups.content, at)
    .advised
}

/** The cup made up from the first product on the list for each medicine. */
function cupFor(terms: OrderBody, documents: Documents): BodyOf<'prepared'> | { readonly refused: string } {
  const products = medicineIdsOf(terms).flatMap(
    (id) => productsFor(documents['medicine-codes'].content, [id])[0] ?? [],
  )
  const plan = planCup(formularyFrom(documents), terms, products)
  if ('refused' in plan) return plan
  return {
    portions: plan.portions,
    totalMl: plan.totalMl.value,
    targetFillMl: plan.targetFillMl,
    answered: [],
  }
}

export type RunForecast = { readonly runMinutes: number | null; readonly whyNot: string | null }

/** Forecasts made by one list of cups, by set-up and patient: a round asks for the same ones again every minute. */
const made = new WeakMap<object, Map<string, RunForecast>>()

/** Forecast run time of a set-up [min]; null, and why, when none can be made. */
export function forecastOf(
  choice: SetUpChoice,
  cup: BodyOf<'prepared'>,
  patient: PatientState,
  documents: Documents,
  at: string,
): RunForecast {
  const cups = documents.cups.content
  const known = made.get(cups) ?? new Map<string, RunForecast>()
  made.set(cups, known)
  const { dob, weightKg, conditions } = patient
  const days = ageAt(dob, at)?.days ?? null
  const key = JSON.stringify([choice, cup.portions, cup.totalMl, days, weightKg, conditions])
  const before = known.get(key)
  if (before) return before
  const forecast = forecastVisit(choice, {
    prepared: cup,
    patient,
    before: {},
    cups,
    // From published figures: what runs here taught is put on top by the learned times, once.
    calibration: () => undefined,
    now: at,
  })
  const answer = forecast.ok
    ? { runMinutes: forecast.runMinutes.value, whyNot: null }
    : { runMinutes: null, whyNot: forecast.why }
  known.set(key, answer)
  return answer
}
