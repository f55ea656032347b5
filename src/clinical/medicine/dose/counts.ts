import { BadInput, type Worked } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import { type Exact, equals, figure, over, positive, times } from './exact.ts'
import { figured } from './figured.ts'

const BASIS = [SOURCES.definition]

/**
 * How many unit doses make an order, and their volume. A part of a unit is told, not rounded.
 * @throws BadInput when a figure cannot be used
 */
export function countUnits(
  doseMcg: number,
  unitMcg: number,
  unitMl: number,
): { readonly units: Worked<'1'>; readonly volume: Worked<'mL'> } {
  const dose = positive('dose', doseMcg, 'ug')
  const perUnit = positive('amount in a unit', unitMcg, 'ug')
  const unitVolume = positive('volume of a unit', unitMl, 'mL')
  const units = over(dose, perUnit)
  const volume = times(units, unitVolume)
  const count = `${figure(dose)} mcg ÷ ${figure(perUnit)} mcg in a unit ${equals(units)} units`
  const poured = `${figure(units)} units × ${figure(unitVolume)} mL ${equals(volume)} mL`
  const caution =
    units.bottom === 1n ? undefined : 'not a whole number of units: ask before part of one is used'
  return {
    units: figured(units, '1', [count], BASIS, caution),
    volume: figured(volume, 'mL', [count, poured], BASIS, caution),
  }
}

/**
 * A dose counted in breaths: micrograms each time and each day.
 * @throws BadInput when a figure cannot be used or a count is not whole
 */
export function dosePerBreaths(
  breaths: number,
  mcgPerBreath: number,
  timesPerDay: number,
): { readonly perTime: Worked<'ug'>; readonly perDay: Worked<'ug'> } {
  const count = whole('breaths', breaths)
  const each = positive('dose of a breath', mcgPerBreath, 'ug')
  const daily = whole('times per day', timesPerDay)
  const perTime = times(count, each)
  const perDay = times(perTime, daily)
  const once = `${figure(count)} breaths × ${figure(each)} mcg ${equals(perTime)} mcg each time`
  const day = `${figure(perTime)} mcg × ${figure(daily)} times ${equals(perDay)} mcg a day`
  return { perTime: figured(perTime, 'ug', [once], BASIS), perDay: figured(perDay, 'ug', [once, day], BASIS) }
}

/** One drug in a vial that holds several. */
export type Component = { readonly name: string; readonly amountMg: number }

/**
 * What a number of vials holds of each of their drugs.
 * @throws BadInput when a figure cannot be used or the number of vials is not whole
 */
export function inVials(
  vials: number,
  components: readonly Component[],
): readonly { readonly name: string; readonly total: Worked<'mg'> }[] {
  const count = whole('vials', vials)
  return components.map(({ name, amountMg }) => {
    const each = positive(`${name} in a vial`, amountMg, 'mg')
    const total = times(count, each)
    const step = `${figure(count)} vials × ${figure(each)} mg ${equals(total)} mg of ${name}`
    return { name, total: figured(total, 'mg', [step], BASIS) }
  })
}

function whole(field: string, given: number): Exact {
  if (!Number.isInteger(given)) throw new BadInput(field, given, 'a whole number above zero')
  return positive(field, given, '1')
}
