import { BadInput } from '../../worked.ts'
import type { Medicine, Supply } from '../formulary/medicine-schema.ts'
import { type Amount, type AmountUnit, inUnit, sameFamily } from './amount.ts'
import { type Exact, exact, over, positive, same, times } from './exact.ts'
import { readStrength } from './read-strength.ts'
import { knownStrength } from './strength.ts'

/** An amount in the unit in which a medicine's own packs are counted. */
export type Counted = { readonly value: Exact; readonly unit: AmountUnit }

/** Units to count in, the first one that a medicine's packs are in; a combination counts in vials. */
const COUNTED: readonly AmountUnit[] = ['vial', 'mg', 'million IU', 'mg colistin base activity']

/**
 * An amount of a medicine in the unit that its packs are counted in, or null when nothing leads there: milliliters
 * without one clear strength, or a unit of another kind. Never guessed.
 * @param strength as printed or ordered, when it is known
 */
export function countedAmount(medicine: Medicine, amount: Amount, strength: string | null): Counted | null {
  if (amount.unit === 'mL') return fromMilliliters(medicine, amount, strength)
  if (amount.unit === 'breath') return fromBreaths(medicine, amount)
  const unit = COUNTED.find(
    (each) => sameFamily(each, amount.unit) && medicine.supply.some((pack) => sameFamily(pack.unit, each)),
  )
  return unit === undefined ? null : { value: inUnit('dose', amount, unit), unit }
}

function fromMilliliters(medicine: Medicine, amount: Amount, strength: string | null): Counted | null {
  const volume = positive('dose', amount.value, 'mL')
  const perMl = strength === null ? onlyConcentration(medicine) : printed(strength)
  return perMl === null ? null : { value: times(volume, perMl.value), unit: perMl.unit }
}

function fromBreaths({ mcgPerBreath }: Medicine, amount: Amount): Counted | null {
  if (mcgPerBreath === undefined) return null
  const breaths = positive('dose', amount.value, '{breath}')
  return { value: over(times(breaths, exact(mcgPerBreath)), exact(1000)), unit: 'mg' }
}

function printed(strength: string): Counted | null {
  try {
    return { value: knownStrength(readStrength(strength)).mgPerMl, unit: 'mg' }
  } catch (error) {
    if (error instanceof BadInput) return null
    throw error
  }
}

/** The one concentration that every pack of a medicine has; null when they differ or one is not known. */
function onlyConcentration(medicine: Medicine): Counted | null {
  const all = medicine.supply.map(concentrationOf)
  const [first] = all
  if (first === undefined || first === null) return null
  const alike = all.every(
    (each) => each !== null && each.unit === first.unit && same(each.value, first.value),
  )
  return alike ? first : null
}

/** Amount in each milliliter of a pack; from amount and volume where both are known, as labels round the quotient. */
export function concentrationOf({ amount, unit, volumeMl, perMl }: Supply): Counted | null {
  const counted = COUNTED.find((each) => sameFamily(each, unit))
  if (counted === undefined) return null
  if (amount !== null && volumeMl !== null) {
    return {
      value: over(inUnit('amount in the pack', { value: amount, unit }, counted), exact(volumeMl)),
      unit: counted,
    }
  }
  return perMl === null ? null : { value: inUnit('strength', { value: perMl, unit }, counted), unit: counted }
}
