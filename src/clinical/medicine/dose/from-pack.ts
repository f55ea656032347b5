import { BadInput, type Worked } from '../../worked.ts'
import type { Medicine, Supply } from '../formulary/medicine-schema.ts'
import { SOURCES } from '../sources.ts'
import type { Amount } from './amount.ts'
import { equals, figure, over } from './exact.ts'
import { figured } from './figured.ts'
import { concentrationOf, countedAmount } from './of-medicine.ts'

/**
 * The volume of a pack that holds an ordered dose [mL]. A combination is counted in vials.
 * @throws BadInput when the pack has no volume yet (a powder), or the dose is in a unit that the pack is not
 */
export function volumeFromPack(medicine: Medicine, pack: Supply, dose: Amount): Worked<'mL'> {
  const concentration = concentrationOf(pack)
  const counted = countedAmount(medicine, dose, null)
  if (concentration === null) {
    throw new BadInput(
      'pack',
      pack.label,
      'a pack with a known volume; make it up first and say to how many mL',
    )
  }
  if (counted === null || counted.unit !== concentration.unit) {
    throw new BadInput(
      'dose',
      `${dose.value} ${dose.unit}`,
      `an amount in ${concentration.unit}, as the pack is`,
    )
  }
  const volume = over(counted.value, concentration.value)
  const step = stepOf(pack, figure(counted.value), figure(concentration.value), counted.unit)
  return figured(volume, 'mL', [`${step} ${equals(volume)} mL`], [SOURCES.definition])
}

function stepOf({ amount, unit, volumeMl }: Supply, dose: string, perMl: string, counted: string): string {
  if (amount === null || volumeMl === null) return `${dose} ${counted} ÷ ${perMl} ${counted}/mL`
  return `${dose} ${counted} ÷ ${amount} ${unit} × ${volumeMl} mL`
}
