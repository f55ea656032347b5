import type { Calculation } from '../calculation.ts'
import { psychrometrics } from './calculate-air.ts'
import { inhaledShareCalculation } from './calculate-breath.ts'
import { continuous } from './calculate-continuous.ts'
import { cup } from './calculate-cup.ts'
import { deposition } from './calculate-deposition.ts'
import { droplets } from './calculate-droplets.ts'
import { calibrateCalculation, forecastCalculation } from './calculate-forecast.ts'

/** What can be asked of this subject by name, with JSON in and JSON out. */
export const AEROSOL_CALCULATIONS = [
  psychrometrics,
  cup,
  inhaledShareCalculation,
  droplets,
  deposition,
  continuous,
  forecastCalculation,
  calibrateCalculation,
] as readonly Calculation[]
