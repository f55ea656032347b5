import type { OrderBody } from '../facts/orders.ts'
import { termsAt } from '../folds/order.ts'
import { fullName, type PatientState } from '../folds/patient.ts'
import type { BodyOf } from '../registry.ts'
import type { Stage } from './stage.ts'

export type IdentifierSeen = BodyOf<'patient-identified'>['identifiers'][number]
export type Difference = BodyOf<'identity-refused'>['differences'][number]
export type Compared =
  | { readonly ok: true }
  | { readonly ok: false; readonly differences: readonly [Difference, ...Difference[]] }

/**
 * Compares what was stated, scanned or typed with the order's patient, identifier by identifier. A room or bed
 * number is never an identifier (Joint Commission NPSG.01.01.01), so it has no place among them; text that names
 * the patient's place is refused as such.
 */
export function comparePatient(patient: PatientState, seen: readonly IdentifierSeen[]): Compared {
  return compared(seen.flatMap((identifier) => differenceOf(patient, identifier)))
}

function differenceOf(patient: PatientState, seen: IdentifierSeen): Difference[] {
  const expected = expectedOf(patient, seen.what)
  if (expected.some((value) => sameText(value, seen.value))) return []
  const isPlace =
    patient.place !== null && placeTexts(patient.place).some((place) => sameText(place, seen.value))
  return [
    {
      what: isPlace ? `${seen.what} (a room or bed number is not an identifier)` : seen.what,
      expected: expected[0] ?? 'not known to the census',
      found: seen.value,
    },
  ]
}

function expectedOf(patient: PatientState, what: IdentifierSeen['what']): string[] {
  switch (what) {
    case 'name':
      return [fullName(patient), [patient.given, patient.family].filter(Boolean).join(' ')].filter(Boolean)
    case 'date of birth':
      return patient.dob === null ? [] : [patient.dob]
    case 'record number':
      return patient.mrn === null ? [] : [patient.mrn]
    case 'wristband':
      return [
        ...patient.identifiers.map(({ value }) => value),
        ...(patient.mrn === null ? [] : [patient.mrn]),
      ]
  }
}

function placeTexts(place: { unit: string; room: string; bed: string }): string[] {
  return [
    place.room,
    place.bed,
    `${place.room}${place.bed}`,
    `${place.room}-${place.bed}`,
    `${place.unit} ${place.room}`,
  ].filter((text) => text !== '')
}

/** Letters, digits and order decide; case, accents, blanks and punctuation do not. */
function sameText(a: string, b: string): boolean {
  const bare = (text: string) =>
    text
      .normalize('NFD')
      .replace(/\p{M}/gu, '')
      .replace(/[^\p{L}\p{N}]/gu, '')
      .toLowerCase()
  return bare(a) === bare(b) && bare(a) !== ''
}

/** What is in the hand, as far as the label or the code on it tells. */
export type ProductInHand = {
  readonly productId: string
  readonly medicineIds: readonly string[]
  readonly text: string
  readonly strength: string
  readonly route: string
  readonly expiry: string | null
}

/**
 * Compares a product in the hand with the order on a day at the hospital. Wrong medicine, wrong route, out of date
 * or no expiry at all: each is named. The strength is compared where the order names one by its product code;
 * otherwise the volume to draw follows from the strength in the hand (stage Prepare).
 */
export function compareMedicine(
  order: OrderBody,
  product: ProductInHand,
  today: string,
  orderedStrength?: string,
): Compared {
  const ordered = order.medicines.map(({ medicineId }) => medicineId)
  const differences: Difference[] = []
  if (!product.medicineIds.some((id) => ordered.includes(id))) {
    differences.push({
      what: 'medicine',
      expected: order.medicines.map(({ text }) => text).join(' + '),
      found: product.text,
    })
  } else if (product.medicineIds.some((id) => !ordered.includes(id))) {
    differences.push({
      what: 'medicine (the container holds more than was ordered)',
      expected: order.medicines.map(({ text }) => text).join(' + '),
      found: product.text,
    })
  }
  if (orderedStrength !== undefined && orderedStrength !== product.strength) {
    differences.push({ what: 'strength', expected: orderedStrength, found: product.strength })
  }
  if (product.route !== 'inhalation') {
    differences.push({ what: 'route', expected: 'inhalation', found: product.route })
  }
  if (product.expiry === null) {
    differences.push({ what: 'expiry', expected: `a date not before ${today}`, found: 'none read' })
  } else if (product.expiry < today) {
    differences.push({ what: 'expiry', expected: `not before ${today}`, found: product.expiry })
  }
  return compared(differences)
}

function compared(differences: readonly Difference[]): Compared {
  const [first, ...others] = differences
  return first === undefined ? { ok: true } : { ok: false, differences: [first, ...others] }
}

/** The right patient by two identifiers, and every ordered medicine in the hand and in date. */
export const identify: Stage = {
  name: 'identify',
  title: 'Identify',
  demands: ({ visit, order, now }) => [
    { code: 'two-identifiers', what: 'Two identifiers that agree', met: visit.identified !== null },
    ...termsAt(order, now)
      .medicines.filter(({ part }) => part === 'medicine')
      .map(({ medicineId, code, text }) => ({
        code: `medicine-${medicineId ?? code}`,
        what: `${text} in the hand, checked`,
        met: visit.medicines.some((seen) => seen.body.medicineId === medicineId),
      })),
  ],
  line: ({ visit }) => {
    if (!visit.identified) return 'two identifiers, the medicine in the hand'
    const identifiers = visit.identified.body.identifiers.map(({ what, how }) => `${what} ${how}`).join(', ')
    const medicines = visit.medicines.map(({ body }) => `${body.text} ${body.how}`).join(', ')
    return medicines ? `${identifiers}; ${medicines}` : identifiers
  },
}
