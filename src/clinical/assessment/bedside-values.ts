import { knownFields } from './known-fields.ts'
import type { Measure, Snapshot } from './measures.ts'
import { type BreathSound, isSilentChest, type LungZone } from './vocabulary.ts'

/** One set of bedside measurements, as far as rules ask for them. What is absent was not measured or not asked. */
export type BedsideValues = {
  readonly heartRatePerMin?: number | undefined
  readonly rhythm?: string | undefined
  readonly respiratoryRatePerMin?: number | undefined
  readonly spo2Percent?: number | undefined
  readonly breathSounds?: Partial<Readonly<Record<LungZone, readonly BreathSound[]>>> | undefined
  readonly workOfBreathing?: string | undefined
  readonly dyspnea0To10?: number | undefined
  readonly peakFlowLPerMin?: readonly number[] | undefined
  readonly fev1Ml?: number | undefined
  readonly consciousness?: string | undefined
  readonly systolicMmHg?: number | undefined
  readonly temperatureCel?: number | undefined
  readonly chestPain?: boolean | undefined
  readonly distress?: boolean | undefined
  readonly tremor?: boolean | undefined
}

/**
 * A set of measurements as the rules read it: the best peak flow of its blows, and signs that follow from what was
 * recorded. Signs seen besides, such as paradoxical bronchospasm, are added by whoever saw them.
 */
export function snapshotOf(
  set: BedsideValues,
  seen: Readonly<Record<string, boolean>> = {},
  more: Snapshot['values'] = {},
): Snapshot {
  const blows = set.peakFlowLPerMin ?? []
  const values: Partial<Record<Measure, number | undefined>> = {
    heartRatePerMin: set.heartRatePerMin,
    respiratoryRatePerMin: set.respiratoryRatePerMin,
    spo2Percent: set.spo2Percent,
    systolicMmHg: set.systolicMmHg,
    temperatureCel: set.temperatureCel,
    peakFlowLPerMin: blows.length > 0 ? Math.max(...blows) : undefined,
    fev1Ml: set.fev1Ml,
    dyspnea0To10: set.dyspnea0To10,
  }
  const signs = {
    'new arrhythmia': set.rhythm === undefined ? undefined : set.rhythm === 'new irregular',
    'altered consciousness': set.consciousness === undefined ? undefined : set.consciousness !== 'alert',
    exhaustion: set.workOfBreathing === undefined ? undefined : set.workOfBreathing === 'exhausted',
    'silent chest': set.breathSounds === undefined ? undefined : isSilentChest(set.breathSounds),
    'chest pain': set.chestPain,
    'agitation or distress': set.distress,
    'marked tremor': set.tremor,
  }
  return { values: { ...knownFields(values), ...more }, signs: { ...knownFields(signs), ...seen } }
}
