/** Oxygen during a treatment: what is breathed in, how long a cylinder lasts, and which gas may drive the cup. */
export { barometricPressure, inspiredOxygenPressure, shareForSeaLevel } from './altitude.ts'
export { OXYGEN_CALCULATIONS } from './calculations.ts'
export {
  type AfterRun,
  afterRun,
  type Cylinder,
  cylinderMinutes,
  KEPT_BAR,
  KEPT_PSI,
  METRIC_WATER_L,
  US_SIZES,
} from './cylinder.ts'
export { HELIOX_MIXES, type HelioxMix, helioxActualFlow, helioxReading } from './heliox-flow.ts'
export {
  adviseGas,
  type GasAdvice,
  type GasQuestion,
  OTHER_TARGET_PERCENT,
  RISK_TARGET_PERCENT,
} from './hypercapnic-risk.ts'
export { type InspiredOxygen, inspiredOxygen, type OxygenSetup } from './inspired-oxygen.ts'
export { ADULT_RESERVOIR_ML, whyNoOxygen } from './known-for.ts'
