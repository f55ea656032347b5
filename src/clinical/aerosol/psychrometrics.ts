import { type Range, requireWithin } from '../worked.ts'
import { GASES, type Gas, molesPerSecond } from './gas.ts'

/** Where the formulas below hold; the tests compare them with PsychroLib over all of it. */
const COVERED_CEL: Range = { low: 0, high: 50, unit: 'Cel' }
export const COVERED_PA: Range = { low: 60_000, high: 110_000, unit: 'Pa' }
const SHARE: Range = { low: 0, high: 1, unit: '1' }

const WATER_G_PER_MOL = 18.015
const R_J_PER_MOL_K = 8.314462618
const VAPOR_HEAT_J_PER_MOL_K = 33.6
const AIR_G_PER_MOL = GASES.air.molarMassG

/** The Magnus form, 611.2 Pa × e^(a T ÷ (b + T)), over water and, below 0 Cel, over ice (SONNTAG_1990_ICE). */
export const MAGNUS = { water: { a: 17.62, b: 243.12 }, ice: { a: 22.46, b: 272.62 } } as const

/** Magnus form (SONNTAG_1990), without checking. */
export function saturation(cel: number): number {
  return saturationOver('water', cel)
}

function saturationOver(what: keyof typeof MAGNUS, cel: number): number {
  const { a, b } = MAGNUS[what]
  return 611.2 * Math.exp((a * cel) / (b + cel))
}

/** Heat that evaporates one gram of water [J/g]; within 0.1 % of tables from 0 to 40 Cel (WATER_PROPERTIES). */
export function latentHeat(cel: number): number {
  return 2500.9 - 2.381 * cel
}

/**
 * Pressure of water vapor over water [Pa] (SONNTAG_1990).
 * @throws OutsideValidity outside COVERED_CEL
 */
export function saturationPressurePa(cel: number): number {
  requireWithin('temperatureCel', cel, COVERED_CEL)
  return saturation(cel)
}

/**
 * Water carried by each kilogram of dry air at saturation [kg/kg].
 * @throws OutsideValidity outside COVERED_CEL or COVERED_PA
 */
export function saturationHumidityRatio(cel: number, pressurePa: number): number {
  requireWithin('pressurePa', pressurePa, COVERED_PA)
  const vaporPa = saturationPressurePa(cel)
  return ((WATER_G_PER_MOL / AIR_G_PER_MOL) * vaporPa) / (pressurePa - vaporPa)
}

/**
 * Water in each cubic meter of saturated gas [g/m3], from the ideal gas law.
 * @throws OutsideValidity outside COVERED_CEL
 */
export function saturatedWaterGPerM3(cel: number): number {
  return (saturationPressurePa(cel) * WATER_G_PER_MOL) / (R_J_PER_MOL_K * (cel + 273.15))
}

/** Below this the air is so dry that a dew point says nothing of use here. */
const LOWEST_DEW_POINT_CEL = -40

/** The least humidity, rounded up to six decimals, at which air of this temperature has a dew point that is covered. */
function leastHumidity(cel: number): number {
  return Math.ceil((1e6 * saturationOver('ice', LOWEST_DEW_POINT_CEL)) / saturation(cel)) / 1e6
}

/** Whether air has a dew point that is covered. */
export function hasDewPoint(cel: number, relativeHumidity: number): boolean {
  return relativeHumidity >= leastHumidity(cel)
}

/**
 * Temperature at which this air would be saturated [Cel]: the Magnus form turned round. Below 0 Cel it is the point at
 * which frost forms.
 * @throws OutsideValidity outside COVERED_CEL, or for a humidity so low that the dew point is below -40 Cel
 */
export function dewPointCel(cel: number, relativeHumidity: number): number {
  const saturatedPa = saturationPressurePa(cel)
  const covered = { low: leastHumidity(cel), high: 1, unit: '1' }
  requireWithin('relativeHumidity', relativeHumidity, covered)
  const exponent = Math.log((relativeHumidity * saturatedPa) / 611.2)
  const { a, b } = exponent < 0 ? MAGNUS.ice : MAGNUS.water
  return (b * exponent) / (a - exponent)
}

/** Moles of vapor for each mole of dry gas. */
export function vaporRatio(vaporPa: number, pressurePa: number): number {
  return vaporPa / (pressurePa - vaporPa)
}

/** Water that one mole of dry gas takes up from the cup [g/mol]: it leaves saturated at the cup's temperature. */
export function uptakeGPerMol(cupCel: number, vaporRatioIn: number, pressurePa: number): number {
  return WATER_G_PER_MOL * (vaporRatio(saturation(cupCel), pressurePa) - vaporRatioIn)
}

export type GasOnEntry = {
  readonly gas: Gas
  readonly temperatureCel: number
  readonly relativeHumidity: number
  readonly pressurePa: number
}

function requireEntry(entry: GasOnEntry): number {
  requireWithin('relativeHumidity', entry.relativeHumidity, SHARE)
  requireWithin('pressurePa', entry.pressurePa, COVERED_PA)
  const saturatedPa = saturationPressurePa(entry.temperatureCel)
  return vaporRatio(entry.relativeHumidity * saturatedPa, entry.pressurePa)
}

/**
 * Water that leaves as vapor [mg/min] when the gas leaves saturated at the cup's temperature.
 * @throws OutsideValidity for temperatures, humidity or pressure that are not covered
 */
export function vaporLossMgPerMin(entry: GasOnEntry, flowLPerMin: number, cupCel: number): number {
  const vaporRatioIn = requireEntry(entry)
  requireWithin('cupCel', cupCel, COVERED_CEL)
  requireWithin('flowLPerMin', flowLPerMin, { low: 0, high: 100, unit: 'L/min' })
  return molesPerSecond(flowLPerMin) * uptakeGPerMol(cupCel, vaporRatioIn, entry.pressurePa) * 60_000
}

/**
 * Thermodynamic wet bulb of the entering gas [Cel]: the coldest a cup can get that takes no heat from the room.
 * Heat given up by gas and its vapor = heat taken by evaporation; solved by halving.
 * @throws OutsideValidity for temperature, humidity or pressure that are not covered
 */
export function wetBulbCel(entry: GasOnEntry): number {
  const vaporRatioIn = requireEntry(entry)
  const heat = entry.gas.heatJPerMolK + VAPOR_HEAT_J_PER_MOL_K * vaporRatioIn
  const cools = (cel: number) =>
    latentHeat(cel) * uptakeGPerMol(cel, vaporRatioIn, entry.pressurePa) > heat * (entry.temperatureCel - cel)
  let low = -20
  let high = entry.temperatureCel
  for (let halvings = 0; halvings < 50; halvings++) {
    const middle = (low + high) / 2
    if (cools(middle)) high = middle
    else low = middle
  }
  return (low + high) / 2
}
