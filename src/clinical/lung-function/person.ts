import { BadInput, type Range, requireWithin } from '../worked.ts'

export const SEXES = ['female', 'male'] as const
/** The sex that an equation is asked for. */
export type Sex = (typeof SEXES)[number]

/** Whom a reference value is for. Age in decimal years, standing height without shoes. */
export type Person = { readonly sex: Sex; readonly ageYears: number; readonly heightCm: number }

/** Outside of this a standing height is taken for a slip of the unit. Design rule. */
export const HEIGHT_LIMITS: Range = { low: 80, high: 230, unit: 'cm' }

/**
 * Refuses a height or a sex that no equation can be asked about.
 * @throws OutsideValidity for a height outside HEIGHT_LIMITS; BadInput for another sex
 */
export function requireBody({ sex, heightCm }: Pick<Person, 'sex' | 'heightCm'>): void {
  requireWithin('heightCm', heightCm, HEIGHT_LIMITS)
  if (!SEXES.includes(sex)) throw new BadInput('sex', sex, SEXES.join(' or '))
}
