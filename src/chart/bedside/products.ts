import { readStrength, type Strength } from '../../clinical/medicine/index.ts'
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
