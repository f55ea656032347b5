import { FORMULARY, mixture, volumeToDraw } from '../../clinical/medicine/index.ts'
import { BadInput, type Worked } from '../../clinical/worked.ts'
import type { OrderBody, OrderedMedicine } from '../facts/orders.ts'
import type { BodyOf } from '../registry.ts'
import { type BedsideFinding, bedsideFinding } from './finding.ts'
import { type Product, strengthOf } from './products.ts'

/** How a cup is made up: every portion with its volume and its working, in the order of adding. */
export type CupPlan = {
  readonly portions: BodyOf<'prepared'>['portions']
  readonly totalMl: Worked<'mL'>
  readonly volumes: readonly { readonly text: string; readonly worked: Worked }[]
  readonly targetFillMl: number
  readonly findings: readonly BedsideFinding[]
  readonly order: readonly string[]
}

/** Under this much a small jet cup gives little: filled up with saline. Common practice, no source. */
const USUAL_FILL_ML = 3

/**
 * Works out the cup from the order and from what is in the hand. `given` is the dose chosen where a range was ordered.
 * @returns the plan, or why there is none; nothing is assumed for what cannot be read
 */
export function planCup(
  order: OrderBody,
  inHand: readonly Product[],
  given: Readonly<Record<string, number>> = {},
): CupPlan | { readonly refused: string } {
  try {
    return planned(order, inHand, given)
  } catch (error) {
    if (error instanceof BadInput) return { refused: `${error.message}.` }
    throw error
  }
}

function planned(
  order: OrderBody,
  inHand: readonly Product[],
  given: Readonly<Record<string, number>>,
): CupPlan {
  const drugs = order.medicines
    .filter(({ part }) => part === 'medicine')
    .map((line) => drawn(line, inHand, given))
  const drugMl = drugs.reduce((sum, { volume }) => sum + volume.value, 0)
  const diluent = order.medicines.find(({ part, unit }) => part === 'diluent' && unit === 'mL')
  const targetFillMl = tidy(Math.max(drugMl, diluent?.amountMin ?? USUAL_FILL_ML))
  const mixed = mixture(FORMULARY, {
    portions: drugs.map(({ line, volume }) => ({
      medicineId: line.medicineId ?? '',
      volumeMl: volume.value,
    })),
    targetFillMl,
    ...(diluent?.medicineId && { diluentId: diluent.medicineId }),
  })
  const diluentMl = tidy(mixed.diluent.value)
  const portions: CupPlan['portions'] = drugs.map(({ line, product, volume, amount }) => ({
    medicineId: line.medicineId ?? '',
    productId: product.productId,
    text: line.text,
    amount,
    unit: line.unit,
    volumeMl: tidy(volume.value),
    part: 'medicine',
  }))
  if (diluentMl > 0) {
    const medicineId = diluent?.medicineId ?? 'sodium-chloride-0.9'
    portions.push({
      medicineId,
      productId: null,
      text: diluent?.text ?? 'sodium chloride 0.9 %',
      amount: null,
      unit: null,
      volumeMl: diluentMl,
      part: 'diluent',
    })
  }
  return {
    portions,
    totalMl: {
      ...mixed.drug,
      value: tidy(drugMl + diluentMl),
      steps: [
        ...mixed.drug.steps,
        ...mixed.diluent.steps,
        `${tidy(drugMl)} mL + ${diluentMl} mL = ${tidy(drugMl + diluentMl)} mL in the cup`,
      ],
    },
    volumes: [
      ...drugs.map(({ line, volume }) => ({ text: line.text, worked: volume })),
      ...(diluentMl > 0 ? [{ text: 'diluent', worked: mixed.diluent }] : []),
    ],
    targetFillMl,
    findings: mixed.findings.map(bedsideFinding),
    order: mixed.adding.map(
      ({ medicineId, volumeMl, how }) => `${nameIn(order, medicineId)} ${tidy(volumeMl)} mL (${how})`,
    ),
  }
}

function nameIn(order: OrderBody, medicineId: string): string {
  return (
    order.medicines.find((line) => line.medicineId === medicineId)?.text ??
    FORMULARY.medicine(medicineId)?.name ??
    medicineId
  )
}

type Drawn = {
  readonly line: OrderedMedicine
  readonly product: Product
  readonly volume: Worked<'mL'>
  readonly amount: number
}

function drawn(
  line: OrderedMedicine,
  inHand: readonly Product[],
  given: Readonly<Record<string, number>>,
): Drawn {
  const product = inHand.find(({ medicineId }) => medicineId === line.medicineId)
  if (!product) throw new BadInput(line.text, 'not in the hand', 'a product that was identified')
  const amount = given[line.medicineId ?? ''] ?? line.amountMin
  if (amount === null) throw new BadInput(`dose of ${line.text}`, 'not stated', 'an amount in the order')
  return { line, product, amount, volume: volumeOf(line, amount, product) }
}

function volumeOf(line: OrderedMedicine, amount: number, product: Product): Worked<'mL'> {
  switch (line.unit) {
    case 'mL':
      return { value: amount, unit: 'mL', steps: [`ordered as ${amount} mL`], sources: [] }
    case 'mg':
      return volumeToDraw(amount, strengthOf(product))
    case 'mcg':
      return volumeToDraw(amount / 1000, strengthOf(product))
    default:
      throw new BadInput(`unit of ${line.text}`, line.unit, 'mg, mcg or mL')
  }
}

/** Volumes to the thousandth of a milliliter, far below what a syringe shows. */
function tidy(ml: number): number {
  return Math.round(ml * 1000) / 1000
}
