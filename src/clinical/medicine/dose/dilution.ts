import { BadInput, type Worked } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import { above, equals, figure, minus, over, plus, positive, times, zeroOrMore } from './exact.ts'
import { figured } from './figured.ts'
import { positivePercent } from './strength.ts'

const BASIS = [SOURCES['percent-definition']]

/**
 * Weakens a solution: the final volume and how much to add [mL].
 * @throws BadInput when a figure cannot be used, or when the wanted percent is above the one in the hand
 */
export function dilution(
  fromPercent: number,
  volumeMl: number,
  toPercent: number,
): { readonly total: Worked<'mL'>; readonly add: Worked<'mL'> } {
  const from = positivePercent('percent in the hand', fromPercent)
  const volume = positive('volume', volumeMl, 'mL')
  const to = positivePercent('wanted percent', toPercent)
  if (above(to, from)) {
    throw new BadInput('wanted percent', toPercent, `at most ${fromPercent}: diluent only weakens a solution`)
  }
  const total = over(times(from, volume), to)
  const add = minus(total, volume)
  const made = `${figure(from)} % × ${figure(volume)} mL ÷ ${figure(to)} % ${equals(total)} mL in all`
  const added = `${figure(total)} mL − ${figure(volume)} mL ${equals(add)} mL to add`
  return { total: figured(total, 'mL', [made], BASIS), add: figured(add, 'mL', [made, added], BASIS) }
}

/**
 * What a solution becomes when water or saline is added [%].
 * @throws BadInput when a figure cannot be used
 */
export function percentAfterAdding(volumeMl: number, fromPercent: number, addedMl: number): Worked<'%'> {
  const volume = positive('volume', volumeMl, 'mL')
  const from = positivePercent('percent in the hand', fromPercent)
  const total = plus(volume, zeroOrMore('added volume', addedMl, 'mL'))
  const result = over(times(volume, from), total)
  const step = `${figure(volume)} mL × ${figure(from)} % ÷ ${figure(total)} mL ${equals(result)} %`
  return figured(result, '%', [step], BASIS)
}

/**
 * The volume of the strength in stock that holds the same drug as the volume ordered in another strength [mL].
 * @throws BadInput when a figure cannot be used
 */
export function sameDrugInStock(
  orderedMl: number,
  orderedPercent: number,
  stockPercent: number,
): Worked<'mL'> {
  const ordered = positive('ordered volume', orderedMl, 'mL')
  const from = positivePercent('ordered percent', orderedPercent)
  const stock = positivePercent('percent in stock', stockPercent)
  const volume = over(times(ordered, from), stock)
  const step = `${figure(ordered)} mL × ${figure(from)} % ÷ ${figure(stock)} % ${equals(volume)} mL`
  return figured(volume, 'mL', [step], BASIS)
}
