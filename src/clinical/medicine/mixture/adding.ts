import type { Source } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import type { KnownPortion } from './portion.ts'

/** One act of filling the cup, in order. */
export type Adding = {
  readonly medicineId: string
  readonly volumeMl: number
  readonly how: string
  readonly source: Source
}

const HOW = {
  measured: 'measured with a syringe first: the smallest volume goes in where it can be seen',
  poured: 'the unit opened and poured',
  suspension: 'swirled, then poured: it settles',
  diluent: 'up to the fill',
} as const
const ORDER: readonly (keyof typeof HOW)[] = ['measured', 'poured', 'suspension', 'diluent']

/** The order of adding: what a syringe measured, unit doses, a suspension, diluent. Common practice, no source. */
export function addInOrder(
  portions: readonly KnownPortion[],
  diluentId: string | null,
  diluentMl: number,
): readonly Adding[] {
  const parts = portions.map(({ portion, medicine, supply }) => ({
    medicineId: medicine.id,
    volumeMl: portion.volumeMl,
    kind: kindOf(medicine.form, supply?.volumeMl ?? null, portion.volumeMl),
  }))
  const all =
    diluentId === null
      ? parts
      : [...parts, { medicineId: diluentId, volumeMl: diluentMl, kind: 'diluent' as const }]
  return all
    .sort((a, b) => ORDER.indexOf(a.kind) - ORDER.indexOf(b.kind))
    .map(({ medicineId, volumeMl, kind }) => ({
      medicineId,
      volumeMl,
      how: HOW[kind],
      source: SOURCES['adding-order'],
    }))
}

/** A whole pack is poured; less than one is measured. */
function kindOf(form: string, packMl: number | null, volumeMl: number): keyof typeof HOW {
  if (form.includes('suspension')) return 'suspension'
  return packMl !== null && volumeMl < packMl ? 'measured' : 'poured'
}
