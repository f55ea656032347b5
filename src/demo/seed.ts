import { ISOLATION, precautionsFor } from '../chart/documents/isolation.ts'
import { MEDICINE_CODES } from '../chart/documents/medicine-codes.ts'
import { SITE } from '../chart/documents/site.ts'
import { STANDARD_TIMES } from '../chart/documents/standard-times.ts'
import { WINDOWS } from '../chart/documents/windows.ts'
import { Chart } from '../chart/folds/chart.ts'
import { dueDoses } from '../chart/folds/doses.ts'
import { uuidv7 } from '../chart/ids.ts'
import { type AnyFact, writeFact } from '../chart/registry.ts'
import { zoneOf } from '../chart/timing/zone.ts'
import type { Received } from '../exchange/receive.ts'
import { Feed } from './feed.ts'
import { historyOf } from './history/history.ts'
import { seeded } from './history/seeded.ts'
import { ADULTS } from './hospital/adults.ts'
import { CHILDREN } from './hospital/children.ts'
import type { InventedPatient } from './hospital/invented-patient.ts'
import { shiftsAround } from './hospital/shifts.ts'
import { STAFF } from './hospital/staff.ts'
import { planInForce } from './plan-in-force.ts'

/** What the demo needs of the program: the ledger and the people to fill, and the door that messages go through. */
export type DemoParts = {
  readonly ledger: {
    append(
      facility: string,
      incoming: { facts: readonly AnyFact[]; receivedAt: string; deviceAheadMs: number | null },
    ): Promise<unknown>
  }
  readonly people: {
    add(person: {
      facility: string
      personId: string
      name: string
      role: AnyFact['by']['role']
      password: string
    }): Promise<void>
  }
  readonly facility: string
  readonly nowMs: number
  readonly doorAt: (
    nowMs: () => number,
    randomBytes: (length: number) => Uint8Array,
  ) => { receive(channel: 'hl7v2', text: string, chart: Chart): readonly Received[] }
}

/** Passphrases of the demo, printed at start. Nobody keeps patients of theirs behind them. */
export const DEMO_SIGN_INS = STAFF.map(({ personId, role, name }) => ({
  personId,
  role,
  name,
  password: `${personId} walks the long ward`,
}))

const HOUR_MS = 3_600_000
const PATIENTS: readonly InventedPatient[] = [...ADULTS, ...CHILDREN]
const DAYS_OF_HISTORY = 2

type Sent = { readonly atMs: number; readonly text: string }

/** Fills an empty ledger with the invented hospital: two days gone by, and a shift in progress whatever the hour. */
export async function seedDemo(parts: DemoParts): Promise<void> {
  const { nowMs, facility } = parts
  const seeds = seeded(20_260_310)
  const chart = new Chart()
  const store = async (facts: readonly AnyFact[], atMs: number) => {
    if (facts.length === 0) return
    chart.add(facts)
    await parts.ledger.append(facility, {
      facts,
      receivedAt: new Date(atMs).toISOString(),
      deviceAheadMs: null,
    })
  }
  await Promise.all(
    DEMO_SIGN_INS.map(({ personId, name, role, password }) =>
      parts.people.add({ facility, personId, name, role, password }),
    ),
  )
  await store(staffFacts(facility, nowMs, seeds.bytes), nowMs - 3 * 24 * HOUR_MS)
  for (const { atMs, text } of messages(nowMs)) {
    const received = parts.doorAt(() => atMs, seeds.bytes).receive('hl7v2', text, chart)
    await store(
      received.flatMap(({ facts }) => facts),
      atMs,
    )
  }
  await store(await pastVisits(chart, facility, nowMs, seeds), nowMs)
  await store(planInForce(chart, facility, nowMs, seeds.bytes), nowMs)
}

function staffFacts(facility: string, nowMs: number, bytes: (length: number) => Uint8Array): AnyFact[] {
  const atMs = nowMs - 3 * 24 * HOUR_MS
  const writer = {
    facility,
    by: { personId: 'mistwright', role: 'system' as const },
    device: 'server',
    newId: () => uuidv7({ nowMs: () => atMs, randomBytes: bytes }),
    nowMs: () => atMs,
  }
  const shifts = shiftsAround(nowMs, SITE.defaults)
  return STAFF.flatMap(({ personId, name, role, signedOffFor, units, beside, night }) => [
    writeFact(
      writer,
      'staff-recorded',
      { personId },
      { name, role, signedOffFor: [...signedOffFor], active: true },
    ),
    ...shifts
      .filter((shift) => shift.isOpposite === (night === true) && units.length > 0)
      .map(({ from, to }) =>
        writeFact(
          writer,
          'shift-assigned',
          { personId },
          { from, to, units: [...units], ...(beside && { beside }) },
        ),
      ),
  ])
}

/** Everything that census and order systems sent, in order of time. */
function messages(nowMs: number): Sent[] {
  const feed = new Feed(MEDICINE_CODES.defaults.codes)
  const iso = (ms: number) => new Date(ms).toISOString()
  const sent: Sent[] = []
  const due: { atMs: number; make: () => string }[] = []
  const send = (atMs: number, make: () => string) => due.push({ atMs, make })
  for (const [index, patient] of PATIENTS.entries()) {
    const dob = birthDate(patient.ageDays, nowMs)
    const admittedMs = nowMs - patient.admittedHoursAgo * HOUR_MS
    send(admittedMs, () => feed.census('A01', patient, iso(admittedMs), iso(admittedMs), dob))
    for (const [at, order] of patient.orders.entries()) {
      const orderedMs = Math.max(admittedMs + 0.4 * HOUR_MS, nowMs - (DAYS_OF_HISTORY * 24 + 2) * HOUR_MS)
      const placer = `LK-${index + 1}-${at + 1}`
      send(orderedMs, () => feed.order('NW', patient, order, placer, iso(orderedMs), iso(orderedMs), dob))
      if (order.fate === 'changed') {
        const changedMs = nowMs - 14 * HOUR_MS
        send(changedMs, () =>
          feed.order('XO', patient, { ...order, code: 'Q6H' }, placer, iso(changedMs), iso(changedMs), dob),
        )
      }
      if (order.fate === 'held') {
        const heldMs = nowMs - 5 * HOUR_MS
        send(heldMs, () => feed.order('HD', patient, order, placer, iso(heldMs), iso(heldMs), dob))
      }
    }
  }
  const [first] = PATIENTS
  if (first)
    for (const text of feed.faulty(first, iso(nowMs - 3 * HOUR_MS), birthDate(first.ageDays, nowMs)))
      send(nowMs - 3 * HOUR_MS, () => text)
  for (const { atMs, make } of due.sort((a, b) => a.atMs - b.atMs)) sent.push({ atMs, text: make() })
  return sent
}

function birthDate(ageDays: number, nowMs: number): string {
  return new Date(nowMs - ageDays * 24 * HOUR_MS).toISOString().slice(0, 10)
}

async function pastVisits(
  chart: Chart,
  facility: string,
  nowMs: number,
  seeds: ReturnType<typeof seeded>,
): Promise<AnyFact[]> {
  const rules = {
    standardTimes: STANDARD_TIMES.defaults,
    windows: WINDOWS.defaults,
    timeZone: SITE.defaults.timeZone,
  }
  const from = new Date(nowMs - DAYS_OF_HISTORY * 24 * HOUR_MS).toISOString()
  const doses = dueDoses(chart, rules, from, new Date(nowMs + HOUR_MS).toISOString())
  const generating = SITE.defaults.nebulizingIsAerosolGenerating.byCategory
    .filter(({ counts }) => counts)
    .map(({ category }) => category)
  const zone = zoneOf(SITE.defaults.timeZone)
  return historyOf({
    chart,
    facility,
    doses,
    nowMs,
    seeds,
    invented: new Map(PATIENTS.map((patient) => [patient.mrn, patient])),
    precautions: (codes) => precautionsFor(codes, ISOLATION.defaults, new Set(generating)),
    codes: MEDICINE_CODES.defaults,
    clock: (instant) => {
      const { minute } = zone.wallAt(Date.parse(instant))
      return `${String(Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`
    },
  })
}
