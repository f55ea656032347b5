import { BadInput, type Worked } from '../../worked.ts'
import type { Medicine, Supply } from '../formulary/medicine-schema.ts'
import { SOURCES } from '../sources.ts'
import type { Amount } from './amount.ts'
import { equals, figure, over, toNumber } from './exact.ts'
import { figured } from './figured.ts'
import { concentrationOf, countedAmount } from './of-medicine.ts'
import { type Strength, strengthMgPerMl } from './strength.ts'

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

/**
 * The pack of a medicine that a product in the hand is, by strength and volume of the container; null when none or
 * more than one fits. Strengths on labels are rounded to two figures, so they may differ by 1 %.
 */
export function packLike(medicine: Medicine, strength: Strength, containerMl: number | null): Supply | null {
  const wanted = strengthMgPerMl(strength).value
  const fitting = medicine.supply.filter((pack) => {
    const concentration = concentrationOf(pack)
    return (
      concentration?.unit === 'mg' &&
      Math.abs(toNumber(concentration.value) / wanted - 1) <= 0.01 &&
      (containerMl === null || pack.volumeMl === null || pack.volumeMl === containerMl)
    )
  })
  return fitting.length === 1 ? (fitting[0] ?? null) : null
}
