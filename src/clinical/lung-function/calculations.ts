import type { Calculation } from '../calculation.ts'
import { peakFlow, peakFlowBlows, zones } from './peak-flow-calculations.ts'
import {
  bronchodilatorResponse,
  lungFunction,
  spirometryBlows,
  spirometrySeverity,
} from './spirometry-calculations.ts'

/** Every calculation of lung function that can be asked for by name. */
export const LUNG_FUNCTION_CALCULATIONS: readonly Calculation[] = [
  lungFunction,
  spirometrySeverity,
  bronchodilatorResponse,
  spirometryBlows,
  peakFlow,
  peakFlowBlows,
  zones,
]
