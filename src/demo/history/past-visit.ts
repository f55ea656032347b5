import type { Fact } from '../../chart/fact.ts'
import { uuidv7 } from '../../chart/ids.ts'
import { signatureHash } from '../../chart/note.ts'
import { type AnyFact, type BodyOf, type KindName, writeFact } from '../../chart/registry.ts'
import type { InventedPerson } from '../hospital/staff.ts'
import type { Seeded } from './seeded.ts'

/** Writes the facts of one invented person at times of the past, as their tablet would have. */
export class PastWriter {
  readonly facts: AnyFact[] = []
  readonly #facility: string
  readonly #seeds: Seeded
  readonly #person: Pick<InventedPerson, 'personId' | 'role'>
  readonly #about: Fact['about']
  #atMs: number

  constructor(
    facility: string,
    seeds: Seeded,
    person: Pick<InventedPerson, 'personId' | 'role'>,
    about: Fact['about'],
    atMs: number,
  ) {
    this.#facility = facility
    this.#seeds = seeds
    this.#person = person
    this.#about = about
    this.#atMs = atMs
  }

  /** Lets time pass [min]. */
  after(minutes: number): this {
    this.#atMs += Math.round(minutes * 60_000)
    return this
  }

  get atMs(): number {
    return this.#atMs
  }

  write<K extends KindName>(
    kind: K,
    body: BodyOf<K>,
    more: { corrects?: string } = {},
  ): Extract<AnyFact, { kind: K }> {
    const nowMs = () => this.#atMs
    const { personId, role } = this.#person
    const fact = writeFact(
      {
        facility: this.#facility,
        by: { personId, role },
        device: `tablet-${personId}`,
        newId: () => uuidv7({ nowMs, randomBytes: this.#seeds.bytes }),
        nowMs,
      },
      kind,
      this.#about,
      body,
      more,
    )
    this.facts.push(fact)
    return fact
  }
}

/** Everything about one past treatment that differs from one to the next. */
export type PastVisit = {
  readonly facility: string
  readonly person: InventedPerson
  readonly about: { readonly patientId: string; readonly orderId: string; readonly visitId: string }
  readonly doseAt: string | null
  readonly startMs: number
  readonly identifiers: { readonly name: string; readonly dob: string }
  readonly medicines: readonly BodyOf<'medicine-identified'>[]
  readonly prepared: BodyOf<'prepared'>
  readonly setUp: BodyOf<'set-up-chosen'>
  readonly runMinutes: number
  readonly before: BodyOf<'measured'>
  readonly after: BodyOf<'measured'>
  readonly precautions: readonly string[]
  readonly putOn: readonly string[]
  readonly minutesSinceLastDose: number | null
  /** Where it ends: `signed` the whole of it; the others leave it in hand for the shift in progress. */
  readonly until: 'signed' | 'running' | 'measured'
  readonly note: (facts: readonly AnyFact[]) => string
}

/** The facts of a treatment as a therapist would have made them, at believable intervals. */
export function pastVisit(visit: PastVisit, seeds: Seeded): AnyFact[] {
  const writer = new PastWriter(visit.facility, seeds, visit.person, visit.about, visit.startMs)
  writer.write('visit-opened', { doseAt: visit.doseAt })
  writer.after(0.5 + seeds.next()).write('door-checked', {
    orderActive: true,
    minutesSinceLastDose: visit.minutesSinceLastDose,
    findings: [],
    precautions: [...visit.precautions],
    putOn: [...visit.putOn],
    equipment: ['flow meter', 'pulse oximeter', 'nebulizer'],
  })
  writer.after(0.5 + seeds.next()).write('patient-identified', {
    identifiers: [
      { what: 'name', how: 'stated', value: visit.identifiers.name },
      { what: 'date of birth', how: 'stated', value: visit.identifiers.dob },
    ],
  })
  for (const medicine of visit.medicines) writer.after(0.3).write('medicine-identified', medicine)
  writer.after(2 + seeds.next() * 1.5).write('measured', visit.before)
  if (visit.until === 'measured') return writer.facts
  writer.after(1).write('prepared', visit.prepared)
  writer.after(0.5).write('set-up-chosen', visit.setUp)
  writer.after(0.7).write('treatment-started', { alongside: [] })
  if (visit.until === 'running') return writer.facts
  writer.after(visit.runMinutes)
  finish(writer, visit, seeds)
  return writer.facts
}

function finish(writer: PastWriter, visit: PastVisit, seeds: Seeded): void {
  writer.write('treatment-ended', {
    how: 'finished',
    leftMl: null,
    given: visit.prepared.portions
      .filter(({ part, amount }) => part === 'medicine' && amount !== null)
      .map(({ medicineId, text, amount, unit }) => ({
        medicineId,
        text,
        nominal: amount ?? 0,
        outOfCup: null,
        unit: unit ?? '',
      })),
    told: '',
    next: '',
  })
  writer.after(1.5 + seeds.next()).write('measured', visit.after)
  const on = visit.after.values.spo2On ?? { device: 'room air' as const }
  writer.after(1).write('after-done', {
    cough: seeds.pick(['none', 'dry', 'moist']),
    sputum: null,
    oxygenBack: on,
    oxygenChangedWhy: '',
    spo2OnItPercent: visit.after.values.spo2Percent ?? 0,
    bedAndBell: true,
    cupCare: 'rinsed, dried and bagged',
    cupDueAt: null,
    tookOff: [],
  })
  const text = visit.note(writer.facts)
  const covers = writer.facts.map(({ id }) => id)
  writer.after(0.8).write('note-signed', {
    composed: text,
    text,
    meaning: 'gave',
    printedName: visit.person.name,
    contentHash: signatureHash(text, covers),
    covers,
  })
}
