import {
  checkHistory,
  doorFindings,
  equipmentFor,
  FORMULARY,
  type GivenDose,
} from '../../clinical/medicine/index.ts'
import { BadInput } from '../../clinical/worked.ts'
import type { Isolation } from '../documents/isolation.ts'
import { precautionsFor } from '../documents/isolation.ts'
import type { Site } from '../documents/site.ts'
import type { Chart } from '../folds/chart.ts'
import { lastGivenAt } from '../folds/doses.ts'
import { type OrderState, openFindings, orderStatusAt, termsAt } from '../folds/order.ts'
import { ageAt, type PatientState } from '../folds/patient.ts'
import { spoken } from '../stages/door.ts'
import type { DueDose } from '../timing/doses-due.ts'
import { type BedsideFinding, bedsideFinding, sentence } from './finding.ts'

/** What the door shows. */
export type DoorView = {
  readonly orderStatus: string
  readonly minutesSinceLastDose: number | null
  readonly findings: readonly BedsideFinding[]
  readonly precautions: {
    readonly names: readonly string[]
    readonly rooms: readonly string[]
    readonly putOn: readonly string[]
    readonly takeOff: readonly string[]
  }
  readonly equipment: readonly string[]
}

/** Is the order in force, how long since the last dose, what speaks against it now, what to put on, what to bring. */
export function atTheDoor(
  chart: Chart,
  order: OrderState,
  documents: { readonly isolation: Isolation; readonly site: Site },
  at: string,
  window: DueDose['window'] | null,
): DoorView {
  const patient = chart.patient(order.patientId)
  const terms = termsAt(order, at)
  const medicineIds = terms.medicines
    .filter(({ part }) => part === 'medicine')
    .flatMap(({ medicineId }) => medicineId ?? [])
  const last = lastGivenAt(chart, order.patientId, medicineIds, at)
  const generating = documents.site.nebulizingIsAerosolGenerating.byCategory
    .filter(({ counts }) => counts)
    .map(({ category }) => category)
  const precautions = precautionsFor(patient.isolation, documents.isolation, new Set(generating))
  const taking = chart
    .ordersOf(order.patientId)
    .filter((other) => other.orderId !== order.orderId && orderStatusAt(other, at) === 'active')
    .flatMap((other) => termsAt(other, at).medicines)
    .map(({ medicineId, text }) => ({ medicineId, name: text }))
  const chartFindings = doorFindings(FORMULARY, {
    medicineIds,
    conditions: patient.conditions,
    taking,
    indication: terms.indication,
    mixed: medicineIds.length > 1,
  })
  return {
    orderStatus: orderStatusAt(order, at),
    minutesSinceLastDose: last === null ? null : (Date.parse(at) - Date.parse(last)) / 60_000,
    findings: [
      ...earlyFinding(window, at),
      ...openFindings(order).map((finding) => ({
        ...finding,
        what: sentence(finding.what),
        code: `order:${finding.code}`,
        why: `${finding.why} The ${finding.whoMustAnswer} has not answered yet.`,
      })),
      ...historyFindings(chart, order, patient, at),
      ...chartFindings.filter(({ severity }) => severity !== 'note').map(bedsideFinding),
    ],
    precautions: {
      names: precautions.names,
      rooms: precautions.rooms,
      putOn: precautions.putOn,
      takeOff: precautions.takeOff,
    },
    equipment: equipmentList(medicineIds, patient),
  }
}

function equipmentList(medicineIds: readonly string[], patient: PatientState): string[] {
  const asked = equipmentFor(FORMULARY, medicineIds)
  return [
    'flow meter',
    patient.airway === null || patient.airway === 'natural'
      ? 'nebulizer with mouthpiece and mask'
      : 'nebulizer and adapter for the airway',
    'pulse oximeter',
    'stethoscope',
    'peak-flow meter',
    ...asked.requirements.filter(({ need }) => need !== 'advised').map(({ what }) => what),
  ]
}

/** Too early, or too much in any 24 hours: from what was given before, by the formulary's gaps and totals. */
function historyFindings(
  chart: Chart,
  order: OrderState,
  patient: PatientState,
  at: string,
): BedsideFinding[] {
  const given = dosesGiven(chart, order.patientId, at)
  return termsAt(order, at).medicines.flatMap((line) => {
    if (line.part !== 'medicine' || line.medicineId === null || line.amountMin === null || line.unit === null)
      return []
    const unit = amountUnit(line.unit)
    if (unit === null) return []
    try {
      const { gap, totals } = checkHistory(
        FORMULARY,
        {
          medicineId: line.medicineId,
          amount: { value: line.amountMin, unit },
          at,
          acute: isAcuteOrder(order, at),
          ageDays: ageAt(patient.dob, at)?.days ?? null,
          weightKg: patient.weightKg,
        },
        given,
      )
      return [
        ...(gap.tooEarly ? [tooEarly(line.text, gap.minutesToNearest, gap.shortestMinutes)] : []),
        ...totals.filter(({ over }) => over).map(tooMuch),
      ]
    } catch (error) {
      if (error instanceof BadInput) return []
      throw error
    }
  })
}

/** A visit begun before the dose's window opens is asked about, never stopped: the patient may need it. */
function earlyFinding(window: DueDose['window'] | null, at: string): BedsideFinding[] {
  if (window === null || at >= window.earliest) return []
  const minutes = Math.round((Date.parse(window.earliest) - Date.parse(at)) / 60_000)
  return [
    {
      code: 'before-window',
      severity: 'ask',
      what: `The window of this dose opens in ${spoken(minutes)}.`,
      why: 'Given now it is an early dose, and the next one may come too close.',
      sources: ['The department’s document Windows'],
    },
  ]
}

function isAcuteOrder(order: OrderState, at: string): boolean {
  const { frequency, priority, indication } = termsAt(order, at)
  return (
    priority === 'stat' ||
    (frequency?.everyMinutes ?? 999) <= 120 ||
    /attack|exacerbation|acute/i.test(indication ?? '')
  )
}

function tooEarly(text: string, minutes: number | null, shortest: number | null): BedsideFinding {
  return {
    code: `too-early:${text}`,
    severity: 'ask',
    what: `${text} was given ${Math.round(minutes ?? 0)} min ago; the shortest gap is ${shortest} min.`,
    why: 'Counted from the start of the last treatment with the same medicine, by any order.',
    sources: ['the formulary’s shortest interval for this medicine'],
  }
}

function tooMuch({
  medicineId,
  total,
  most,
}: ReturnType<typeof checkHistory>['totals'][number]): BedsideFinding {
  return {
    code: `too-much:${medicineId}`,
    severity: 'ask',
    what: `With this dose any 24 hours would hold ${total.value} ${total.unit} of ${medicineId}; the most is ${most?.value ?? '?'}.`,
    why: total.steps.join('; '),
    sources: total.sources.map(({ cite }) => cite),
  }
}

/** What was given of everything, from signed and running visits. */
function dosesGiven(chart: Chart, patientId: string, at: string): GivenDose[] {
  return chart.ordersOf(patientId).flatMap((order) =>
    chart.visitsOf(order.orderId).flatMap((visit) => {
      const startedAt = visit.run.startedAt
      if (startedAt === null || startedAt >= at) return []
      return (visit.prepared?.body.portions ?? []).flatMap(({ medicineId, amount, unit, part }) => {
        const known = amountUnit(unit ?? '')
        return part === 'medicine' && amount !== null && known
          ? [{ medicineId, amount: { value: amount, unit: known }, route: 'inhalation', at: startedAt }]
          : []
      })
    }),
  )
}

function amountUnit(unit: string): 'mg' | 'mcg' | 'mL' | null {
  return unit === 'mg' || unit === 'mcg' || unit === 'mL' ? unit : null
}
