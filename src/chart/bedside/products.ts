import {
  type Formulary,
  type Medicine,
  packLike,
  readAmount,
  readStrength,
  type Strength,
  type Supply,
} from '../../clinical/medicine/index.ts'
import { BadInput } from '../../clinical/worked.ts'
import type { MedicineCodes } from '../documents/medicine-codes.ts'

export type Product = MedicineCodes['products'][number]

/**
 * The strength of a product: of a unit dose as the amount in its volume, so that a whole container gives a whole dose;
 * otherwise as printed.
 * @throws BadInput when the strength cannot be read
 */
export function strengthOf(product: Product): Strength {
  const whole = /([\d.]+) (mg|mcg) in ([\d.]+) mL/.exec(product.text)
  if (whole) return readStrength(`${whole[1]} ${whole[2]}/${whole[3]} mL`)
  return readStrength(product.strength)
}

/** The products that hold one of these medicines. */
export function productsFor(codes: MedicineCodes, medicineIds: readonly string[]): Product[] {
  return codes.products.filter(({ medicineId }) => medicineIds.includes(medicineId))
}

/**
 * The formulary's pack that a product in the hand is: by strength and container, for a powder by what is in it, for
 * a combination by its container. Null when none or more than one fits: what only the pack tells (preservative,
 * concentrate) is then not known.
 */
export function packOf(formulary: Formulary, product: Product): Supply | null {
  const medicine = formulary.medicine(product.medicineId)
  if (medicine === null) return null
  const fitting = medicine.components ? byContainer(medicine, product) : byAmount(medicine, product)
  return packByStrength(medicine, product) ?? (fitting.length === 1 ? (fitting[0] ?? null) : null)
}

function packByStrength(medicine: Medicine, product: Product): Supply | null {
  if (medicine.components) return null // one figure of two is not the strength of the vial
  const strength = readOrNull(() => strengthOf(product))
  return strength && packLike(medicine, strength, product.containerMl)
}

function byContainer(medicine: Medicine, { containerMl }: Product): Supply[] {
  return medicine.supply.filter(({ volumeMl }) => containerMl !== null && volumeMl === containerMl)
}

/** Digits may stand in groups of three, as on the label of a powder: 1 000 000 IU. */
function byAmount(medicine: Medicine, { strength }: Product): Supply[] {
  const amount = readOrNull(() => readAmount(strength.replace(/(?<=\d)[ \u00a0\u202f](?=\d{3}\b)/g, '')))
  if (amount === null) return []
  return medicine.supply.filter((pack) => pack.amount !== null && sameAmount(pack, amount))
}

function sameAmount({ amount, unit }: Supply, given: ReturnType<typeof readAmount>): boolean {
  if (amount === null) return false
  if (unit === given.unit) return amount === given.value
  return unit === 'million IU' && given.unit === 'IU' && amount * 1_000_000 === given.value
}

function readOrNull<T>(read: () => T): T | null {
  try {
    return read()
  } catch (error) {
    if (error instanceof BadInput) return null
    throw error
  }
}
