import { requireWithin, type Worked } from '../worked.ts'
import { OXYGEN_SOURCES } from './sources.ts'

const COVERED_HEIGHT = { low: -400, high: 4500, unit: 'm' }
/** Water vapor in the airways at 37 Cel. */
const AIRWAY_VAPOR_PA = 6281

/**
 * Barometric pressure at a height, as the standard atmosphere has it; weather moves it by a few percent.
 * @throws OutsideValidity outside COVERED_HEIGHT
 */
export function barometricPressure(heightM: number): Worked<'Pa'> {
  requireWithin('heightM', heightM, COVERED_HEIGHT)
  const pressurePa = 101_325 * (1 - 2.25577e-5 * heightM) ** 5.25588
  return {
    value: pressurePa,
    unit: 'Pa',
    steps: [`101325 Pa × (1 − 2.25577e-5 × ${heightM})^5.25588 = ${pressurePa.toFixed(0)} Pa.`],
    sources: [OXYGEN_SOURCES.STANDARD_ATMOSPHERE],
    validity: 'Standard atmosphere from 400 m below to 4500 m above the sea.',
  }
}

/**
 * Pressure of oxygen in moist inspired air.
 * @throws OutsideValidity for a share outside 0.15 to 1 or a pressure outside 50 to 110 kPa
 */
export function inspiredOxygenPressure(share: number, pressurePa: number): Worked<'kPa'> {
  requireWithin('share', share, { low: 0.15, high: 1, unit: '1' })
  requireWithin('pressurePa', pressurePa, { low: 50_000, high: 110_000, unit: 'Pa' })
  const kPa = (share * (pressurePa - AIRWAY_VAPOR_PA)) / 1000
  return {
    value: kPa,
    unit: 'kPa',
    steps: [`${share} × (${(pressurePa / 1000).toFixed(1)} − 6.28) kPa = ${kPa.toFixed(1)} kPa.`],
    sources: [OXYGEN_SOURCES.INSPIRED_PRESSURE],
  }
}

/** Share of oxygen at this pressure that gives what `seaShare` gives at sea level; above 1 where nothing does. */
export function shareForSeaLevel(seaShare: number, pressurePa: number): number {
  return inspiredOxygenPressure(seaShare, 101_325).value / inspiredOxygenPressure(1, pressurePa).value
}
