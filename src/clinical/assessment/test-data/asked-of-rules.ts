import type { Snapshot } from '../measures.ts'
import { judgeStopRules, type StopContext } from '../stop-rules.ts'

/** An adult on a bronchodilator, and short ways to ask the rules about a snapshot. */
export const adult: StopContext = {
  phase: 'during',
  ageYears: 60,
  medicines: ['bronchodilator'],
  conditions: [],
  devices: [],
  drivingGas: 'air',
  limits: { spo2TargetLow: 92 },
}
export const snapshot = (values: Snapshot['values'], signs: Record<string, boolean> = {}): Snapshot => ({
  values,
  signs,
})
export const NOTHING = snapshot({})
export const ids = (
  context: Partial<StopContext>,
  now: Snapshot,
  baseline: Snapshot | null = NOTHING,
): readonly string[] => judgeStopRules({ ...adult, ...context }, now, baseline).fired.map(({ id }) => id)
export const seen = (...signs: string[]) => snapshot({}, Object.fromEntries(signs.map((sign) => [sign, true])))

