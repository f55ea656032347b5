import { BadInput, OutsideValidity, type Worked } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import { above, type Exact, equals, exact, figure, over, positive, times } from './exact.ts'
import { figured } from './figured.ts'

const BASIS = [SOURCES.definition]
/** From the smallest newborn kept alive to the heaviest person recorded, rounded outward; common practice, no source. */
const WEIGHT = { low: 0.2, high: 700, unit: 'kg' }

type Limit = 'within' | 'minimum' | 'maximum'

/** A dose by weight: what the weight gives, and what is left of it once a limit has spoken. Both are shown. */
export type ByWeight<Unit extends string> = {
  readonly calculated: Worked<Unit>
  readonly given: Worked<Unit>
  readonly limit: Limit
}
export type Limits = { readonly atLeast?: number; readonly atMost?: number }

/**
 * A dose in mg from weight and mg/kg.
 * @throws BadInput when a figure cannot be used or the minimum is above the maximum; OutsideValidity for a
 * weight that no person has
 */
export function doseByWeight(weightKg: number, mgPerKg: number, limits: Limits = {}): ByWeight<'mg'> {
  return byWeight(weightKg, positive('dose per kg', mgPerKg, 'mg/kg'), 'mg', 'mg/kg', limits)
}

/**
 * A volume in mL from weight and mL/kg.
 * @throws BadInput and OutsideValidity as `doseByWeight`
 */
export function volumeByWeight(weightKg: number, mlPerKg: number, limits: Limits = {}): ByWeight<'mL'> {
  return byWeight(weightKg, positive('volume per kg', mlPerKg, 'mL/kg'), 'mL', 'mL/kg', limits)
}

/**
 * A rate in mg/h from weight and mg/kg/h.
 * @throws BadInput and OutsideValidity as `doseByWeight`
 */
export function hourlyByWeight(weightKg: number, mgPerKgH: number, limits: Limits = {}): ByWeight<'mg/h'> {
  return byWeight(weightKg, positive('rate per kg', mgPerKgH, 'mg/kg/h'), 'mg/h', 'mg/kg/h', limits)
}

/**
 * A rate in mg/h from weight and micrograms per kg per minute.
 * @throws BadInput and OutsideValidity as `doseByWeight`
 */
export function hourlyFromMicrograms(weightKg: number, mcgPerKgMin: number): Worked<'mg/h'> {
  const weight = bodyWeight(weightKg)
  const rate = positive('rate per kg', mcgPerKgMin, 'ug/kg/min')
  const hourly = times(times(weight, rate), exact(0.06)) // 60 min/h ÷ 1000 mcg/mg
  const step = `${figure(weight)} kg × ${figure(rate)} mcg/kg/min × 60 min/h ÷ 1000 mcg/mg ${equals(hourly)} mg/h`
  return figured(hourly, 'mg/h', [step], BASIS)
}

/**
 * The running speed that gives an hourly dose [mL/h].
 * @throws BadInput when a figure cannot be used
 */
export function pumpSpeed(mgPerH: number, mgPerMl: number): Worked<'mL/h'> {
  const rate = positive('rate', mgPerH, 'mg/h')
  const strength = positive('strength', mgPerMl, 'mg/mL')
  const speed = over(rate, strength)
  const step = `${figure(rate)} mg/h ÷ ${figure(strength)} mg/mL ${equals(speed)} mL/h`
  return figured(speed, 'mL/h', [step], BASIS)
}

function byWeight<Unit extends string>(
  weightKg: number,
  perKg: Exact,
  unit: Unit,
  perKgUnit: string,
  limits: Limits,
): ByWeight<Unit> {
  const weight = bodyWeight(weightKg)
  const calculated = times(weight, perKg)
  const step = `${figure(weight)} kg × ${figure(perKg)} ${perKgUnit} ${equals(calculated)} ${unit}`
  const held = limited(calculated, unit, limits)
  const caution = held.limit === 'within' ? undefined : `the weight alone gives ${figure(calculated)} ${unit}`
  return {
    calculated: figured(calculated, unit, [step], BASIS),
    given: figured(held.value, unit, [step, held.step], BASIS, caution),
    limit: held.limit,
  }
}

function limited(calculated: Exact, unit: string, { atLeast, atMost }: Limits) {
  const low = atLeast === undefined ? null : positive('minimum', atLeast, unit)
  const high = atMost === undefined ? null : positive('maximum', atMost, unit)
  if (low && high && above(low, high)) {
    throw new BadInput('minimum', atLeast, `at most the maximum ${figure(high)} ${unit}`)
  }
  if (low && above(low, calculated)) {
    return held(low, 'minimum', `raised to the minimum ${figure(low)} ${unit}`)
  }
  if (high && above(calculated, high)) {
    return held(high, 'maximum', `held at the maximum ${figure(high)} ${unit}`)
  }
  return held(calculated, 'within', 'within limits')
}

const held = (value: Exact, limit: Limit, step: string) => ({ value, limit, step })

function bodyWeight(weightKg: number): Exact {
  const weight = positive('weight', weightKg, 'kg')
  if (weightKg < WEIGHT.low || weightKg > WEIGHT.high) throw new OutsideValidity('weight', weightKg, WEIGHT)
  return weight
}
