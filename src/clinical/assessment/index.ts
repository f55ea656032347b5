/** Bedside assessment: scores, ranges, stop rules, questions at entry, and the words for what is seen and heard. */
export {
  ASTHMA_GUIDES,
  type AsthmaGuide,
  type AsthmaSeverity,
  AsthmaSeverityDocument,
  asthmaSeverity,
} from './asthma-severity.ts'
export { type BedsideValues, snapshotOf } from './bedside-values.ts'
export {
  type ChangeAgainstNoise,
  changeAgainstNoise,
  defaultNoise,
  NoiseDocument,
} from './change-against-noise.ts'
export {
  DYSPNEA_SCALES,
  DYSPNEA_USE,
  type DyspneaChange,
  type DyspneaScale,
  dyspneaBand,
  dyspneaChange,
} from './dyspnea.ts'
export { MEASURES, type Measure, type Snapshot, unitShown } from './measures.ts'
export { NEWS2_PARTS, type News2, type News2Part, type News2Set, news2 } from './news2.ts'
export {
  defaultPlausibility,
  type EntryField,
  type Plausibility,
  PlausibilityDocument,
  plausible,
} from './plausibility.ts'
export { PRAM_POINTS, type Pram, PramBands, type PramSet, pram } from './pram.ts'
export { ASSESSMENT_SOURCES } from './sources.ts'
export {
  type Action,
  defaultStopRules,
  type Phase,
  readStopRules,
  type StopRule,
  StopRuleDocument,
} from './stop-rule-document.ts'
export { type FiredRule, judgeStopRules, type StopContext, type StopJudgment } from './stop-rules.ts'
export {
  defaultVitalRanges,
  hypotensionBelow,
  type VitalRange,
  VitalRangeDocument,
  vitalRanges,
} from './vital-ranges.ts'
export {
  ABILITIES,
  BREATH_SOUNDS,
  type BreathSound,
  CONSCIOUSNESS,
  type Consciousness,
  isSilentChest,
  LUNG_ZONES,
  type LungZone,
  WORK_OF_BREATHING,
  type WorkOfBreathing,
  wheezeLevel,
} from './vocabulary.ts'
