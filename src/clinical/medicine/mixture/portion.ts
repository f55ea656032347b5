import { BadInput } from '../../worked.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine, Supply } from '../formulary/medicine-schema.ts'

/** One thing that goes into the cup. */
export type Portion = {
  readonly medicineId: string
  /** The pack, where it is known: it tells of preservative and of a concentrate. */
  readonly supplyId?: string
  readonly volumeMl: number
}

/** A portion with what the formulary knows of it. */
export type KnownPortion = {
  readonly portion: Portion
  readonly medicine: Medicine
  readonly supply: Supply | null
}

/**
 * A portion with its medicine and pack.
 * @throws BadInput when the formulary holds neither that medicine nor that pack
 */
export function knownPortion(formulary: Formulary, portion: Portion): KnownPortion {
  const medicine = formulary.medicine(portion.medicineId)
  if (medicine === null) throw new BadInput('medicineId', portion.medicineId, 'an id of the formulary')
  if (portion.supplyId === undefined) return { portion, medicine, supply: null }
  const supply = medicine.supply.find(({ id }) => id === portion.supplyId)
  if (supply === undefined) {
    throw new BadInput('supplyId', portion.supplyId, medicine.supply.map(({ id }) => id).join(', '))
  }
  return { portion, medicine, supply }
}
