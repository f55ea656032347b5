import type { Interface } from '../aerosol/index.ts'

/** Anatomic reservoir of an adult that a cannula fills [mL] (SHAPIRO). */
export const ADULT_RESERVOIR_ML = 50

/**
 * Why inspired oxygen cannot be told for an interface, or null where it can: only for a mouthpiece or a mask on the
 * face, since the reckoning knows no leak, and with a cannula only for adults, whose reservoir is published.
 */
export function whyNoOxygen(
  used: Interface['kind'],
  cannulaLPerMin: number,
  isChild: boolean,
): string | null {
  if (used === 'in-line') return 'The ventilator sets it.'
  if (used !== 'mouthpiece' && used !== 'mask')
    return 'How much room air gets in beside it was not found published.'
  if (cannulaLPerMin > 0 && isChild) return 'With a cannula it is known for adults only.'
  return null
}
