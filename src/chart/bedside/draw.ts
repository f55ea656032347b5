import {
  type Formulary,
  type Supply,
  unitSpelled,
  volumeFromPack,
  volumeToDraw,
} from '../../clinical/medicine/index.ts'
import { BadInput, type Worked } from '../../clinical/worked.ts'
import type { OrderedMedicine } from '../facts/orders.ts'
import { type Product, packOf, strengthOf } from './products.ts'

/** One ordered medicine with the container in the hand and the volume that holds the dose. */
export type Drawn = {
  readonly line: OrderedMedicine
  readonly product: Product
  /** The formulary's pack that the container is; null when none is like it. */
  readonly pack: Supply | null
  readonly volume: Worked<'mL'>
  readonly amount: number
}

/**
 * The volume of one ordered medicine out of what is in the hand. `given` is the dose chosen where a range was ordered.
 * @throws BadInput when it is not in the hand, or the dose or the strength cannot be read one way only
 */
export function drawn(
  formulary: Formulary,
  line: OrderedMedicine,
  inHand: readonly Product[],
  given: Readonly<Record<string, number>>,
): Drawn {
  const product = inHand.find(({ medicineId }) => medicineId === line.medicineId)
  if (!product) throw new BadInput(line.text, 'not in the hand', 'a product that was identified')
  const amount = given[line.medicineId ?? ''] ?? line.amountMin
  if (amount === null) throw new BadInput(`dose of ${line.text}`, 'not stated', 'an amount in the order')
  const pack = packOf(formulary, product)
  return { line, product, pack, amount, volume: volumeOf(formulary, line, amount, product, pack) }
}

function volumeOf(
  formulary: Formulary,
  line: OrderedMedicine,
  amount: number,
  product: Product,
  pack: Supply | null,
): Worked<'mL'> {
  const unit = unitSpelled(line.unit ?? '')
  if (unit === null || unit === 'breath') {
    throw new BadInput(
      `unit of ${line.text}`,
      line.unit ?? 'none',
      'a unit of mass, activity or volume, or vials',
    )
  }
  if (unit === 'mL') return { value: amount, unit: 'mL', steps: [`ordered as ${amount} mL`], sources: [] }
  const medicine = formulary.medicine(line.medicineId ?? '')
  if (medicine && pack) return volumeFromPack(medicine, pack, { value: amount, unit })
  if (medicine?.components) throw new BadInput(`dose of ${line.text}`, `${amount} ${unit}`, 'vials or mL')
  const mgIn = MG_IN[unit]
  if (mgIn === undefined) {
    throw new BadInput(`dose of ${line.text}`, `${amount} ${unit}`, `the unit of ${product.text}`)
  }
  return volumeToDraw(amount * mgIn, strengthOf(product))
}

/** Milligrams in each unit of mass. */
const MG_IN: Readonly<Partial<Record<string, number>>> = { g: 1000, mg: 1, mcg: 0.001 }
