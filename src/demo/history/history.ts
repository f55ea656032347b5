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
import { FORMULARY } from '../../clinical/medicine/index.ts'
import type { InventedPatient } from '../hospital/invented-patient.ts'
import { type InventedPerson, STAFF } from '../hospital/staff.ts'
import { courseOf } from './course.ts'
import { type PastVisit, PastWriter, pastVisit } from './past-visit.ts'
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
    const endsMs = startMs + VISIT_MINUTES * MINUTE_MS
    const until = endsMs < nowMs ? 'signed' : running === 0 ? 'running' : inHand === 0 ? 'measured' : null
    if (until === null) continue
    if (until === 'running') running += 1
    if (until === 'measured') inHand += 1
    const last = lastByPatient.get(order.patientId)
    const made = visitFacts(parts, {
      order,
      dose,
      person,
      invented,
      startMs,
      until,
      last: last ?? null,
      patient,
    })
    if (!made) continue
    facts.push(...made)
    lastByPatient.set(order.patientId, startMs)
    freeAtMs.set(person.personId, endsMs + seeds.whole(1, 5) * MINUTE_MS)
  }
  return [...facts, ...secondSignatures(facts, parts)].filter(
    ({ happenedAt }) => Date.parse(happenedAt) <= nowMs,
  )
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

type One = {
  readonly order: NonNullable<ReturnType<Chart['order']>>
  readonly patient: ReturnType<Chart['patient']>
  readonly dose: DueDose
  readonly person: InventedPerson
  readonly invented: InventedPatient
  readonly startMs: number
  readonly until: PastVisit['until']
  readonly last: number | null
}

function visitFacts(parts: HistoryParts, one: One): AnyFact[] | null {
  const { seeds, facility, codes, clock } = parts
  const { order, patient, dose, person, invented, startMs, until } = one
  const terms = termsAt(order, dose.doseAt)
  const ids = terms.medicines.flatMap(({ medicineId, part }) =>
    part === 'medicine' && medicineId ? [medicineId] : [],
  )
  const products = ids.flatMap((id) => productsFor(codes, [id])[0] ?? [])
  const plan = planCup(FORMULARY, terms, products)
  if ('refused' in plan || products.length === 0) return null
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
        gas:
          patient.target?.newsScale === 2 || patient.oxygen === null || patient.oxygen.device === 'room air'
            ? 'air'
            : 'oxygen',
        flowLPerMin: 6,
        reservoirMl: alone ? 50 : 0,
        position: 'sitting up',
        cannulaStaysOn: patient.oxygen?.device === 'nasal cannula' && patient.target?.newsScale === 2,
        forecast: null,
        againstAdvice: [],
      },
      runMinutes: 8 + seeds.next() * 4,
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
