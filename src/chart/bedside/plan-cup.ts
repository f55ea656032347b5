import { type Formulary, mixture, unitSpelled } from '../../clinical/medicine/index.ts'
import { BadInput, type Worked } from '../../clinical/worked.ts'
import type { OrderBody, OrderedMedicine } from '../facts/orders.ts'
import type { BodyOf } from '../registry.ts'
import { type Drawn, drawn } from './draw.ts'
import { type BedsideFinding, bedsideFinding } from './finding.ts'
import type { Product } from './products.ts'

/** How a cup is made up: every portion with its volume and its working, in the order of adding. */
export type CupPlan = {
  readonly portions: BodyOf<'prepared'>['portions']
  readonly totalMl: Worked<'mL'>
  /** `measured`: drawn with a syringe; any other is a whole container poured in, or diluent filled up with. */
  readonly volumes: readonly { readonly text: string; readonly worked: Worked; readonly measured: boolean }[]
  readonly targetFillMl: number
  readonly findings: readonly BedsideFinding[]
  readonly order: readonly string[]
}

/** Under this much a small jet cup gives little: filled up with saline. Common practice, no source. */
const USUAL_FILL_ML = 3
/** Doses at least this often count as frequent for what a preservative may do [min]. Common practice, no source. */
const FREQUENT_MINUTES = 120

/**
 * Works out the cup from the order and from what is in the hand. `given` is the dose chosen where a range was ordered.
 * @returns the plan, or why there is none; nothing is assumed for what cannot be read
 */
export function planCup(
  formulary: Formulary,
  order: OrderBody,
  inHand: readonly Product[],
  given: Readonly<Record<string, number>> = {},
): CupPlan | { readonly refused: string } {
  try {
    return planned(formulary, order, inHand, given)
  } catch (error) {
    if (error instanceof BadInput) return { refused: `${error.message}.` }
    throw error
  }
}

function planned(
  formulary: Formulary,
  order: OrderBody,
  inHand: readonly Product[],
  given: Readonly<Record<string, number>>,
): CupPlan {
  const drugs = order.medicines
    .filter(({ part }) => part === 'medicine')
    .map((line) => drawn(formulary, line, inHand, given))
  const drugMl = drugs.reduce((sum, { volume }) => sum + volume.value, 0)
  const diluent = order.medicines.find(({ part }) => part === 'diluent')
  const targetFillMl = tidy(Math.max(drugMl, fillOrdered(diluent) ?? USUAL_FILL_ML))
  const mixed = mixture(formulary, {
    portions: drugs.map(({ line, volume, pack }) => ({
      medicineId: line.medicineId ?? '',
      volumeMl: volume.value,
      ...(pack && { supplyId: pack.id }),
    })),
    targetFillMl,
    repeated: isFrequent(order),
    ...(diluent?.medicineId && { diluentId: diluent.medicineId }),
  })
  const diluentMl = tidy(mixed.diluent.value)
  const filled = diluentMl > 0 ? [diluentPortion(diluent, diluentMl)] : []
  const total = tidy(drugMl + diluentMl)
  return {
    portions: [...drugs.map(drugPortion), ...filled],
    totalMl: {
      ...mixed.drug,
      value: total,
      steps: [
        ...mixed.drug.steps,
        ...mixed.diluent.steps,
        `${tidy(drugMl)} mL + ${diluentMl} mL = ${total} mL in the cup`,
      ],
    },
    volumes: [
      ...drugs.map((drug) => ({ text: drug.line.text, worked: drug.volume, measured: isMeasured(drug) })),
      ...(diluentMl > 0 ? [{ text: 'diluent', worked: mixed.diluent, measured: false }] : []),
    ],
    targetFillMl,
    findings: [
      ...mixed.findings.map(bedsideFinding),
      ...drugs.flatMap(packFindings),
      ...drugs.flatMap((drug) => rangeFindings(drug, given)),
      ...diluentFindings(diluent, diluentMl),
    ],
    order: mixed.adding.map(
      ({ medicineId, volumeMl, how }) =>
        `${nameIn(formulary, order, medicineId)} ${tidy(volumeMl)} mL (${how})`,
    ),
  }
}

/** A part of a container is drawn with a syringe; so is what comes out of a container of unknown size. */
function isMeasured({ pack, product, volume }: Drawn): boolean {
  const containerMl = pack?.volumeMl ?? product.containerMl
  return containerMl === null || tidy(volume.value) < containerMl
}

/** The fill that the order names by its diluent [mL]; null when it names none that can be read. */
function fillOrdered(diluent: OrderedMedicine | undefined): number | null {
  if (diluent === undefined || unitSpelled(diluent.unit ?? '') !== 'mL') return null
  return diluent.amountMin
}

function isFrequent({ frequency }: OrderBody): boolean {
  const every = frequency?.everyMinutes ?? Number.POSITIVE_INFINITY
  return frequency?.continuous === true || every <= FREQUENT_MINUTES
}

function drugPortion({ line, product, volume, amount }: Drawn): CupPlan['portions'][number] {
  return {
    medicineId: line.medicineId ?? '',
    productId: product.productId,
    text: line.text,
    amount,
    unit: line.unit,
    volumeMl: tidy(volume.value),
    part: 'medicine',
  }
}

function diluentPortion(diluent: OrderedMedicine | undefined, volumeMl: number): CupPlan['portions'][number] {
  return {
    medicineId: diluent?.medicineId ?? 'sodium-chloride-0.9',
    productId: null,
    text: diluent?.text ?? 'sodium chloride 0.9 %',
    amount: null,
    unit: null,
    volumeMl,
    part: 'diluent',
  }
}

function nameIn(formulary: Formulary, order: OrderBody, medicineId: string): string {
  return (
    order.medicines.find((line) => line.medicineId === medicineId)?.text ??
    formulary.medicine(medicineId)?.name ??
    medicineId
  )
}

const READ_OFF = ['Nothing is assumed that only the container tells (design rule)']

/** A container that the formulary does not know: whether it is a concentrate or preserved stands only on its label. */
function packFindings({ product, pack, line }: Drawn): BedsideFinding[] {
  if (pack !== null) return []
  return [
    {
      code: `pack-unknown:${line.medicineId}`,
      severity: 'ask',
      what: `Read on the container of ${product.text}: must it be diluted, and is there a preservative in it?`,
      why: `No one pack of the formulary is like it (${product.strength}, ${product.containerMl ?? 'unknown'} mL), so these could not be checked.`,
      sources: READ_OFF,
    },
  ]
}

/** A range was ordered and nobody chose: the smallest is worked out, and that is said. */
function rangeFindings({ line, amount }: Drawn, given: Readonly<Record<string, number>>): BedsideFinding[] {
  const { amountMin, amountMax, medicineId, text, unit } = line
  const isRange = amountMin !== null && amountMax !== null && amountMax > amountMin
  if (!isRange || given[medicineId ?? ''] !== undefined) return []
  return [
    {
      code: `dose-range:${medicineId}`,
      severity: 'ask',
      what: `${amountMin} to ${amountMax} ${unit} of ${text} are ordered; ${amount} ${unit} are worked out here.`,
      why: 'The smallest dose of the range is taken until somebody chooses another.',
      sources: READ_OFF,
    },
  ]
}

/** How the ordered diluent was read: as the volume to fill up to. */
function diluentFindings(diluent: OrderedMedicine | undefined, addedMl: number): BedsideFinding[] {
  if (diluent === undefined) return []
  const { amountMin, unit, text } = diluent
  const ordered = fillOrdered(diluent)
  if (ordered === null) {
    return [
      {
        code: 'diluent-volume-unread',
        severity: 'ask',
        what: `How much ${text} is meant cannot be read: ${amountMin ?? 'no amount'} ${unit ?? ''}. The cup is filled to ${USUAL_FILL_ML} mL.`,
        why: 'A fill of 3 mL is common practice, not what the order says.',
        sources: READ_OFF,
      },
    ]
  }
  if (tidy(addedMl) === tidy(ordered)) return []
  return [
    {
      code: 'diluent-to-fill',
      severity: 'note',
      what: `${ordered} mL of ${text} are ordered: read as the volume to fill up to, so ${tidy(addedMl)} mL are added.`,
      why: 'Many orders name the volume that the dose is given in. Ask the prescriber if so much was to be added.',
      sources: READ_OFF,
    },
  ]
}

/** Volumes to the thousandth of a milliliter, far below what a syringe shows. */
function tidy(ml: number): number {
  return Math.round(ml * 1000) / 1000
}
