import { type DocumentProblem, unknown } from './document-kind.ts'
import type { DocumentsInForce } from './documents-in-force.ts'

/**
 * What the documents say about each other that does not fit: a category, cup kind or medicine that one names and
 * another does not know.
 */
export function checkedTogether(documents: DocumentsInForce['documents']): DocumentProblem[] {
  const { site, isolation, cups, windows, formulary, 'medicine-codes': codes } = documents
  const policy = documents['planning-policy']
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
      'planning-policy.times.protectiveEquipment',
      policy.content.times.protectiveEquipment.map(({ category }) => category),
      categories,
      'an isolation category',
    ),
    ...placed(documents),
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

/** Units that are not on the map, places of units that there are not, and floors on which they disagree. */
function placed({ units, 'hospital-map': map }: DocumentsInForce['documents']): DocumentProblem[] {
  const floorOf = new Map(units.content.units.map(({ id, floor }) => [id, floor]))
  const entered = map.content.places.flatMap((place) =>
    place.unit === null ? [] : [{ ...place, unit: place.unit }],
  )
  const known = new Set(floorOf.keys())
  return [
    ...unknown(
      'hospital-map.places',
      entered.map(({ unit }) => unit),
      known,
      'one of the units',
    ),
    ...unknown(
      'hospital-map.rooms',
      map.content.rooms.map(({ unit }) => unit),
      known,
      'one of the units',
    ),
    ...unknown('units', [...known], new Set(entered.map(({ unit }) => unit)), 'on the map'),
    ...entered
      .filter(({ unit, floor }) => known.has(unit) && floorOf.get(unit) !== floor)
      .map(({ unit, floor }) => ({
        where: 'hospital-map.places',
        what: `${unit} is on floor ${floor} here and on floor ${floorOf.get(unit)} in the list of units`,
      })),
  ]
}
