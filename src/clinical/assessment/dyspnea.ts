import { BadInput, requireWithin, type Source } from '../worked.ts'
import { ASSESSMENT_SOURCES } from './sources.ts'

export const DYSPNEA_SCALES = ['numeric 0-10', 'modified Borg'] as const
export type DyspneaScale = (typeof DYSPNEA_SCALES)[number]

/** How each scale is asked, in our own words; the worded anchors of the Borg scale are not shipped. */
export const DYSPNEA_USE: Readonly<Record<DyspneaScale, string>> = {
  'numeric 0-10':
    'The patient says a whole number: 0 for breathing that is no trouble at all, 10 for breathing that could not be worse.',
  'modified Borg':
    'The patient points to a number on the licensed card. Never filled in by staff for the patient.',
}

export type DyspneaBand = 'none' | 'mild' | 'moderate' | 'severe'

export type DyspneaChange = {
  readonly scale: DyspneaScale
  readonly change: number
  readonly direction: 'better' | 'worse' | 'same'
  /** At least as large as the least change that matters to patients (1 point on either scale). */
  readonly reachesImportant: boolean
  readonly steps: readonly string[]
  readonly sources: readonly Source[]
}

const LEAST_IMPORTANT = 1

/**
 * Change between two ratings by one scale: whole numbers on the numeric scale, halves allowed on the modified Borg.
 * @throws OutsideValidity outside 0 to 10; BadInput for a step that the scale does not have
 */
export function dyspneaChange(scale: DyspneaScale, before: number, after: number): DyspneaChange {
  requireRating(scale, 'before', before)
  requireRating(scale, 'after', after)
  const change = after - before
  const { RIES_2005, OXBERRY_2012 } = ASSESSMENT_SOURCES
  return {
    scale,
    change,
    direction: change < 0 ? 'better' : change > 0 ? 'worse' : 'same',
    reachesImportant: Math.abs(change) >= LEAST_IMPORTANT,
    steps: [
      `${after} − ${before} = ${change}`,
      `${Math.abs(change)} against the least change that matters, ${LEAST_IMPORTANT}`,
    ],
    sources: scale === 'modified Borg' ? [RIES_2005, OXBERRY_2012] : [OXBERRY_2012],
  }
}

/**
 * A rating of the numeric scale in words (Wysham 2015): 0 none, 1 to 4 mild, 5 to 8 moderate, 9 and 10 severe.
 * @throws OutsideValidity outside 0 to 10; BadInput when it is not a whole number
 */
export function dyspneaBand(rating: number): DyspneaBand {
  requireRating('numeric 0-10', 'rating', rating)
  if (rating === 0) return 'none'
  if (rating <= 4) return 'mild'
  return rating <= 8 ? 'moderate' : 'severe'
}

function requireRating(scale: DyspneaScale, field: string, rating: number): void {
  requireWithin(field, rating, { low: 0, high: 10, unit: '(0 to 10)' })
  const parts = scale === 'modified Borg' ? 2 : 1
  if (!Number.isInteger(rating * parts)) {
    throw new BadInput(field, rating, parts === 2 ? 'whole numbers and halves' : 'whole numbers')
  }
}
