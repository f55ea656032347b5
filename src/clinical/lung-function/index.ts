/** Lung function: predicted values, repeatability, response, severity and zones. */

export {
  type PeakFlowResponse,
  peakFlowResponse,
  type ResponseRule,
  type ResponseVerdict,
  type VolumeResponse,
  type VolumesBeforeAndAfter,
  volumeResponse,
} from './bronchodilator-response.ts'
export { GLI_GLOBAL_2022 } from './gli-global-2022.ts'
export {
  interpretSpirometry,
  type Measured,
  type Reference,
  type SpirometryRequest,
  type SpirometryResult,
} from './interpret-spirometry.ts'
export { loadReferenceSystem } from './load-reference-system.ts'
export { METER_SCALES, type MeterScale, type PeakFlow, wrightToEu } from './meter-scale.ts'
export {
  bandByPercent,
  PEAK_FLOW_GUIDES,
  type PeakFlowBasis,
  type PeakFlowGuide,
  type PeakFlowStanding,
  peakFlowBand,
  peakFlowZone,
} from './peak-flow-zone.ts'
export { type Person, SEXES, type Sex } from './person.ts'
export {
  coverOf,
  PEAK_FLOW_EQUATIONS,
  type PeakFlowEquation,
  type PeakFlowPrediction,
  type PeakFlowRequest,
  peakFlowPercent,
  predictPeakFlow,
} from './predict-peak-flow.ts'
export {
  PARAMETERS,
  type Parameter,
  type ReferenceSystem,
  SYSTEM_NAMES,
  type SystemName,
  type Unit,
} from './reference-system.ts'
export { peakFlowRepeatability, type Repeatability, spirometryRepeatability } from './repeatability.ts'
export { gradeByPercentPredicted, gradeByZ } from './severity.ts'
export { LUNG_SOURCES } from './sources.ts'
