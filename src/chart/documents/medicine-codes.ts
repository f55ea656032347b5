import { z } from 'zod'
import defaults from './data/medicine-codes.json' with { type: 'json' }
import {
  type DocumentProblem,
  defineDocument,
  Id,
  repeated,
  StatedSources,
  sourceProblems,
  Text,
} from './document-kind.ts'
import { hasCheckDigit } from './gtin.ts'

const Product = z.strictObject({
  productId: Id,
  /** The formulary's id. */
  medicineId: Id,
  text: Text,
  /** As it stands on the container. */
  strength: Text,
  containerMl: z.number().positive().max(2000).nullable(),
  unitDose: z.boolean(),
  gtins: z.array(z.string().regex(/^\d{14}$/, 'a GTIN written with 14 digits')),
})

/** What the hospital's order codes mean, and the products in the cabinet. */
const MedicineCodes = z.strictObject({
  codes: z.array(z.strictObject({ code: Id, text: Text, medicineId: Id })),
  /** Codes of mixtures: the parts come with the order. */
  mixtures: z.array(z.strictObject({ code: Id, text: Text, medicineIds: z.array(Id).min(2) })),
  products: z.array(Product),
  source: Id,
  sources: StatedSources,
})
export type MedicineCodes = z.infer<typeof MedicineCodes>

function check({ codes, mixtures, products, source, sources }: MedicineCodes): DocumentProblem[] {
  return [
    ...repeated(
      'codes',
      [...codes, ...mixtures].map(({ code }) => code),
    ),
    ...repeated(
      'products',
      products.map(({ productId }) => productId),
    ),
    ...repeated(
      'products.gtins',
      products.flatMap(({ gtins }) => gtins),
    ),
    ...products.flatMap(({ productId, gtins }) =>
      gtins
        .filter((gtin) => !hasCheckDigit(gtin))
        .map((gtin) => ({ where: `products.${productId}.gtins`, what: `${gtin} fails its check digit` })),
    ),
    ...sourceProblems(sources, [{ where: 'source', key: source }]),
  ]
}

export const MEDICINE_CODES = defineDocument({
  name: 'medicine-codes',
  title: 'Order codes and products',
  schema: MedicineCodes,
  defaults,
  check,
})
