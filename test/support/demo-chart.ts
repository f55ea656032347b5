import { reviewAgainstChart } from '../../src/chart/bedside/review.ts'
import { formularyInForce } from '../../src/chart/documents/formulary-in-force.ts'
import { MEDICINE_CODES } from '../../src/chart/documents/medicine-codes.ts'
import { SITE } from '../../src/chart/documents/site.ts'
import { STANDARD_TIMES } from '../../src/chart/documents/standard-times.ts'
import { WINDOWS } from '../../src/chart/documents/windows.ts'
import { Chart } from '../../src/chart/folds/chart.ts'
import { uuidv7 } from '../../src/chart/ids.ts'
import type { AnyFact } from '../../src/chart/registry.ts'
import type { TimingRules } from '../../src/chart/timing/doses-due.ts'
import { seedDemo } from '../../src/demo/seed.ts'
import { Door } from '../../src/exchange/receive.ts'

/** When the invented hospital is looked at: in the middle of a day shift in Chicago. */
export const DEMO_NOW = '2026-03-10T15:40:00.000Z'

export const RULES: TimingRules = {
  standardTimes: STANDARD_TIMES.defaults,
  windows: WINDOWS.defaults,
  timeZone: SITE.defaults.timeZone,
}

/** A door of a hospital, with the formulary's review behind it, whose ids are the same in every run. */
export function reviewingDoor(
  facility: string,
  nowMs: () => number,
  randomBytes: (length: number) => Uint8Array,
): Door {
  return new Door({
    writer: {
      facility,
      by: { personId: 'mistwright', role: 'system' },
      device: 'server',
      newId: () => uuidv7({ nowMs, randomBytes }),
      nowMs,
    },
    timeZone: () => SITE.defaults.timeZone,
    codes: () => MEDICINE_CODES.defaults,
    review: (chart, patientId, orderId, order, at) =>
      reviewAgainstChart(formularyInForce(chart, at), chart, patientId, orderId, order, at),
  })
}

/** The chart of the invented hospital: two days gone by, with orders, treatments, doses not given and signatures. */
export async function demoChart(facility = 'marrowby'): Promise<Chart> {
  const facts: AnyFact[] = []
  await seedDemo({
    ledger: { append: async (_facility, incoming) => void facts.push(...incoming.facts) },
    people: { add: async () => undefined },
    facility,
    nowMs: Date.parse(DEMO_NOW),
    doorAt: (nowMs, randomBytes) => reviewingDoor(facility, nowMs, randomBytes),
  })
  return new Chart().add(facts)
}
