import { type DocumentProblem, unknown } from './document-kind.ts'
import type { DocumentsInForce } from './documents-in-force.ts'

/**
 * What the documents say about each other that does not fit: a category, cup kind or medicine that one names and
 * another does not know.
 */
export function checkedTogether({
  site,
  isolation,
  cups,
  windows,
  formulary,
  'medicine-codes': codes,
}: DocumentsInForce['documents']): DocumentProblem[] {
  const medicineIds = new Set(formulary.content.medicines.map(({ id }) => id))
  const categories = new Set(isolation.content.categories.map(({ code }) => code))
  const kinds = new Set<string>(Object.keys(site.content.cupChangeEveryHours.byKind))
  const cupsWithout = cups.content.cups.filter((cup) => cup.changeEveryHours === null)
  return [
    ...unknown(
      'site.nebulizingIsAerosolGenerating',
      site.content.nebulizingIsAerosolGenerating.byCategory.map(({ category }) => category),
      categories,
      'an isolation category',
    ),
    ...unknown(
      'cups',
      cupsWithout.map((cup) => cup.kind),
      kinds,
      'a kind for which the site says when to change it',
    ),
    ...unknown(
      'medicine-codes',
      [
        ...codes.content.codes.map(({ medicineId }) => medicineId),
        ...codes.content.mixtures.flatMap((mixture) => mixture.medicineIds),
        ...codes.content.products.map(({ medicineId }) => medicineId),
      ],
      medicineIds,
      'in the formulary',
    ),
    ...unknown(
      'windows',
      [...windows.content.timeCriticalMedicines, ...windows.content.medicines].map(
        ({ medicineId }) => medicineId,
      ),
      medicineIds,
      'in the formulary',
    ),
  ]
}
