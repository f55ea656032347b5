import { z } from 'zod'
import * as vocabulary from '../../clinical/assessment/vocabulary.ts'
import { OxygenSupport } from './census.ts'

export { LUNG_ZONES } from '../../clinical/assessment/vocabulary.ts'
export const LungZone = z.enum(vocabulary.LUNG_ZONES)
export type LungZone = z.infer<typeof LungZone>

export const BREATH_SOUNDS = vocabulary.wordsOf(vocabulary.BREATH_SOUNDS)
export const BreathSound = z.enum(BREATH_SOUNDS)
export type BreathSound = z.infer<typeof BreathSound>

export const WORK_OF_BREATHING = vocabulary.wordsOf(vocabulary.WORK_OF_BREATHING)
export const CONSCIOUSNESS = vocabulary.wordsOf(vocabulary.CONSCIOUSNESS)
export const ABILITIES = vocabulary.wordsOf(vocabulary.ABILITIES)
export const RHYTHMS = ['regular', 'known irregular', 'new irregular'] as const

/** What can be measured, and so what can be left out with a reason. */
export const MEASURES = [
  'heartRate',
  'respiratoryRate',
  'spo2',
  'breathSounds',
  'workOfBreathing',
  'dyspnea',
  'peakFlow',
  'consciousness',
  'ability',
  'systolic',
  'temperature',
] as const
export const Measure = z.enum(MEASURES)
export type Measure = z.infer<typeof Measure>

export const REASONS_NOT_MEASURED = [
  'too breathless',
  'not able to follow',
  'under 5 years',
  'asleep, let sleep',
  'declined',
  'equipment not at hand',
  'not called for by this order',
  'untreated pneumothorax',
  'recent surgery',
] as const

const Whole = z.int()

/**
 * One set of measurements. Limits here only keep out what cannot be a number of its kind at all; whether a value
 * is plausible for this patient is asked of the person at entry, and a confirmed odd value is kept as it is.
 */
export const Measurements = z.strictObject({
  heartRatePerMin: Whole.min(0).max(400).optional(),
  rhythm: z.enum(RHYTHMS).optional(),
  respiratoryRatePerMin: Whole.min(0).max(200).optional(),
  spo2Percent: Whole.min(0).max(100).optional(),
  spo2On: OxygenSupport.optional(),
  breathSounds: z.partialRecord(LungZone, z.array(BreathSound).min(1)).optional(),
  workOfBreathing: z.enum(WORK_OF_BREATHING).optional(),
  dyspnea0To10: z.number().min(0).max(10).optional(),
  peakFlowLPerMin: z.array(Whole.min(0).max(1000)).min(1).max(8).optional(),
  fev1Ml: Whole.min(0).max(9000).optional(),
  consciousness: z.enum(CONSCIOUSNESS).optional(),
  ability: z.enum(ABILITIES).optional(),
  systolicMmHg: Whole.min(0).max(350).optional(),
  temperatureCel: z.number().min(20).max(46).optional(),
  chestPain: z.boolean().optional(),
  distress: z.boolean().optional(),
  tremor: z.boolean().optional(),
})
export type Measurements = z.infer<typeof Measurements>

/** A value outside the plausible limits that the person looked at again and stood by. */
export const ConfirmedOdd = z.strictObject({ measure: z.string(), value: z.number(), question: z.string() })

export const NotMeasured = z.strictObject({ measure: Measure, why: z.enum(REASONS_NOT_MEASURED) })
