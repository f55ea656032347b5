import { planCup } from '../../chart/bedside/plan-cup.ts'
import { productsFor } from '../../chart/bedside/products.ts'
import type { Precautions } from '../../chart/documents/isolation.ts'
import type { MedicineCodes } from '../../chart/documents/medicine-codes.ts'
import { Chart } from '../../chart/folds/chart.ts'
import { termsAt } from '../../chart/folds/order.ts'
import { fullName } from '../../chart/folds/patient.ts'
import { shiftAt } from '../../chart/folds/staff.ts'
import { uuidv7 } from '../../chart/ids.ts'
import { composeNote } from '../../chart/note.ts'
import type { AnyFact } from '../../chart/registry.ts'
import type { DueDose } from '../../chart/timing/doses-due.ts'
import { defaultFormulary } from '../../clinical/medicine/index.ts'
import type { InventedPatient } from '../hospital/invented-patient.ts'
import { type InventedPerson, STAFF } from '../hospital/staff.ts'
import { courseOf } from './course.ts'
import { type PastVisit, PastWriter, pastVisit } from './past-visit.ts'
import { likelyRunMinutes, runMinutes } from './run-minutes.ts'
import type { Seeded } from './seeded.ts'

export type HistoryParts = {
  readonly chart: Chart
  readonly facility: string
  readonly doses: readonly DueDose[]
  readonly nowMs: number
  readonly seeds: Seeded
  readonly invented: ReadonlyMap<string, InventedPatient>
  readonly precautions: (codes: readonly string[]) => Precautions
  readonly codes: MedicineCodes
  readonly clock: (instant: string) => string
}

const MINUTE_MS = 60_000
/** A whole visit of the demo, from opening to signature [min]: a published mean is 16 (De Cock, time and motion). */
const VISIT_MINUTES = 17
/** From the door to the start of the run at most [min], and by what a long run may pass its forecast. */
const BEFORE_RUN_MINUTES = 9
const LONG_RUN = 1.2
/** Through every cup; the upper end of what the cups are rated for. */
const FLOW_L_PER_MIN = 8
/** Share of doses that are not given: 3.5 % was published (Stoller 2003). */
const MISSED_SHARE = 0.035

/**
 * What the staff did with the doses of the last two days. Each therapist does one visit at a time and walks between
 * them, so some are late and a few are missed, as on any ward; one runs now and one is in hand.
 */
export function historyOf(parts: HistoryParts): AnyFact[] {
  const { chart, doses, nowMs, seeds } = parts
  const freeAtMs = new Map<string, number>()
  const facts: AnyFact[] = []
  const lastByPatient = new Map<string, number>()
  let running = 0
  let inHand = 0
  for (const dose of doses) {
    const order = chart.order(dose.orderId)
    const patient = order && chart.patient(order.patientId)
    const invented = patient?.mrn ? parts.invented.get(patient.mrn) : undefined
    if (!order || !patient || !invented) continue
    const person = whoHas(chart, patient.place?.unit ?? '', dose.doseAt)
    if (!person) continue
    const wantedMs = Date.parse(dose.doseAt) + seeds.whole(-20, 25) * MINUTE_MS
    const startMs = Math.max(wantedMs, freeAtMs.get(person.personId) ?? 0)
    const about = { patientId: order.patientId, orderId: order.orderId }
    if (startMs > nowMs - 4 * MINUTE_MS) continue
    if (seeds.next() < MISSED_SHARE || startMs > Date.parse(dose.window.latest ?? dose.window.onTimeUntil)) {
      facts.push(...missed(parts, person, about, dose, Math.min(startMs, nowMs)))
      continue
    }
    const cup = cupOf(parts, order, patient, dose.doseAt)
    if (!cup) continue
    const endsMs = startMs + VISIT_MINUTES * MINUTE_MS
    const runEndsMs = startMs + (BEFORE_RUN_MINUTES + LONG_RUN * cup.likelyMinutes) * MINUTE_MS
    const until = Math.max(endsMs, runEndsMs) < nowMs ? 'signed' : unfinished(running, inHand)
    if (until === null) continue
    if (until === 'running') running += 1
    if (until === 'measured') inHand += 1
    const last = lastByPatient.get(order.patientId)
    const one = { order, cup, dose, person, invented, startMs, until, last: last ?? null, patient }
    facts.push(...visitFacts(parts, one))
    lastByPatient.set(order.patientId, startMs)
    freeAtMs.set(person.personId, endsMs + seeds.whole(1, 5) * MINUTE_MS)
  }
  return [...facts, ...secondSignatures(facts, parts)].filter(
    ({ happenedAt }) => Date.parse(happenedAt) <= nowMs,
  )
}

/** What one more visit of the shift in progress is: the first runs, the second is in hand, more were not begun. */
function unfinished(running: number, inHand: number): PastVisit['until'] | null {
  if (running === 0) return 'running'
  return inHand === 0 ? 'measured' : null
}

/** Whoever was on for the unit at that time; a learner's share is every fourth of their therapist's. */
function whoHas(chart: Chart, unit: string, at: string): InventedPerson | null {
  const on = STAFF.filter(({ personId, role }) => {
    const staff = chart.person(personId)
    const shift = staff && shiftAt(staff, at)
    return (role === 'therapist' || role === 'learner') && shift?.units.includes(unit)
  })
  const hour = Math.floor(Date.parse(at) / 3_600_000)
  const learner = on.find(({ role }) => role === 'learner')
  if (learner && hour % 4 === 0) return learner
  return (
    on.filter(({ role }) => role === 'therapist')[hour % 2] ??
    on.find(({ role }) => role === 'therapist') ??
    null
  )
}

type Order = NonNullable<ReturnType<Chart['order']>>
type Patient = ReturnType<Chart['patient']>

/** What goes into the cup of a dose, by which gas, and how long that will run; null where it cannot be made up. */
function cupOf({ codes }: HistoryParts, order: Order, patient: Patient, doseAt: string) {
  const terms = termsAt(order, doseAt)
  const ids = terms.medicines.flatMap(({ medicineId, part }) =>
    part === 'medicine' && medicineId ? [medicineId] : [],
  )
  const products = ids.flatMap((id) => productsFor(codes, [id])[0] ?? [])
  const plan = planCup(defaultFormulary(), terms, products)
  if ('refused' in plan || products.length === 0) return null
  const onAir =
    patient.target?.newsScale === 2 || patient.oxygen === null || patient.oxygen.device === 'room air'
  const gas = onAir ? ('air' as const) : ('oxygen' as const)
  return {
    ids,
    products,
    plan,
    gas,
    likelyMinutes: likelyRunMinutes(plan.totalMl.value, gas, FLOW_L_PER_MIN),
  }
}
type Cup = NonNullable<ReturnType<typeof cupOf>>

type One = {
  readonly order: Order
  readonly patient: Patient
  readonly cup: Cup
  readonly dose: DueDose
  readonly person: InventedPerson
  readonly invented: InventedPatient
  readonly startMs: number
  readonly until: PastVisit['until']
  readonly last: number | null
}

function visitFacts(parts: HistoryParts, one: One): AnyFact[] {
  const { seeds, facility, clock } = parts
  const { order, patient, dose, person, invented, startMs, until } = one
  const { ids, products, plan, gas } = one.cup
  const { before, after } = courseOf(invented, seeds, (startMs - (parts.nowMs - 48 * 3_600_000)) / 86_400_000)
  const precautions = parts.precautions(patient.isolation)
  const visitId = uuidv7({ nowMs: () => startMs, randomBytes: seeds.bytes })
  const about = { patientId: order.patientId, orderId: order.orderId, visitId }
  const alone = before.values.ability === 'follows and holds a mouthpiece'
  const note = (facts: readonly AnyFact[]) => {
    const chart = new Chart().add([
      ...parts.chart.factsAbout('order', order.orderId),
      ...parts.chart.factsAbout('patient', order.patientId),
      ...facts,
    ])
    const visit = chart.visit(visitId)
    const now = facts.at(-1)?.happenedAt ?? dose.doseAt
    return visit ? composeNote({ visit, order, patient, now }, clock) : ''
  }
  return pastVisit(
    {
      facility,
      person,
      about,
      doseAt: dose.doseAt,
      startMs,
      identifiers: { name: fullName(patient), dob: patient.dob ?? '' },
      medicines: products.map((product, index) => ({
        medicineId: ids[index] ?? product.medicineId,
        productId: product.productId,
        text: product.text,
        gtin: product.gtins[0] ?? null,
        lot: `L${seeds.whole(1000, 9999)}`,
        expiry: new Date(parts.nowMs + seeds.whole(60, 500) * 86_400_000).toISOString().slice(0, 10),
        how: product.gtins.length > 0 ? ('scanned' as const) : ('typed' as const),
      })),
      prepared: {
        portions: plan.portions,
        totalMl: plan.totalMl.value,
        targetFillMl: plan.targetFillMl,
        answered: [],
      },
      setUp: {
        cupId: alone ? 'tee-jet' : 'mask-jet',
        interface:
          invented.airway === 'endotracheal tube'
            ? 'in-line'
            : invented.airway === 'tracheostomy'
              ? 'tracheostomy collar'
              : alone
                ? 'mouthpiece'
                : 'mask',
        gas,
        flowLPerMin: FLOW_L_PER_MIN,
        reservoirMl: alone ? 50 : 0,
        position: 'sitting up',
        cannulaStaysOn: patient.oxygen?.device === 'nasal cannula' && patient.target?.newsScale === 2,
        forecast: null,
        againstAdvice: [],
      },
      runMinutes: runMinutes(plan.totalMl.value, gas, FLOW_L_PER_MIN, seeds),
      before,
      after,
      precautions: patient.isolation,
      putOn: precautions.putOn,
      minutesSinceLastDose: one.last === null ? null : Math.round((startMs - one.last) / MINUTE_MS),
      until,
      note,
    },
    seeds,
  )
}

const MISSED_REASONS = [
  'not in room',
  'declined by patient',
  'patient not available',
  'therapist called away',
] as const

function missed(
  parts: HistoryParts,
  person: InventedPerson,
  about: { patientId: string; orderId: string },
  dose: DueDose,
  atMs: number,
): AnyFact[] {
  const signer =
    person.role === 'learner' ? (STAFF.find(({ personId }) => personId === person.beside) ?? person) : person
  const writer = new PastWriter(parts.facility, parts.seeds, signer, about, atMs)
  const late = atMs > Date.parse(dose.window.onTimeUntil)
  writer.write('dose-not-given', {
    doseAt: dose.doseAt,
    reason: late ? 'therapist called away' : parts.seeds.pick(MISSED_REASONS),
    note: '',
    next: 'next dose as due',
    told: 'the nurse',
  })
  return writer.facts
}

/** Learners' notes signed a second time by whom they work beside, but for the newest, which still wait. */
function secondSignatures(facts: readonly AnyFact[], parts: HistoryParts): AnyFact[] {
  const waiting = facts.filter((fact) => fact.kind === 'note-signed' && fact.by.role === 'learner')
  return waiting.slice(0, -2).flatMap((fact) => {
    const learner = STAFF.find(({ personId }) => personId === fact.by.personId)
    const therapist = STAFF.find(({ personId }) => personId === learner?.beside)
    if (!therapist || fact.kind !== 'note-signed') return []
    const writer = new PastWriter(
      parts.facility,
      parts.seeds,
      therapist,
      fact.about,
      Date.parse(fact.happenedAt) + 25 * MINUTE_MS,
    )
    writer.write('note-cosigned', {
      signs: fact.id,
      note: '',
      printedName: therapist.name,
      contentHash: fact.body.contentHash,
      covers: [fact.id],
    })
    return writer.facts
  })
}
