/** Aerosol of a nebulizer: cup, droplets, breath and lung, and the forecast that joins them. */

export { answering, answersFrom, figured, shown } from './answers.ts'
export { BREATHING_PATTERNS, type Breath, type BreathPattern, breathOf, type PatternName } from './breath.ts'
export { AEROSOL_CALCULATIONS } from './calculations.ts'
export { type Calibration, type ChartedRun, calibrate } from './calibrate.ts'
export {
  CONTINUOUS_CUPS,
  type ContinuousForecast,
  type ContinuousSetup,
  continuousForecast,
  continuousMix,
} from './continuous.ts'
export { CUP_KINDS, type CupKind, type Ends, NoPublishedData } from './cup-kinds.ts'
export { type ExplainedForecast, explainForecast } from './explain-forecast.ts'
export { FIGURES, type FigureName, type Figures } from './figures.ts'
export { type CurvePoint, type Forecast, forecast } from './forecast.ts'
export { AIR_OXYGEN, GAS_KINDS, GASES, type GasKind, gasOf } from './gas.ts'
export { INTERFACE_KINDS, type Interface, MASKS } from './interface.ts'
export { hindsFractions } from './lung-fits.ts'
export { plugFlow } from './reservoir.ts'
export type { Setup } from './setup.ts'
export { breathFrom } from './setup-fields.ts'
