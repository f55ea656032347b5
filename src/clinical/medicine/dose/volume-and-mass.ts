import type { Worked } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import { equals, figure, over, positive, times } from './exact.ts'
import { figured } from './figured.ts'
import { knownStrength, type Strength } from './strength.ts'

/**
 * The volume that holds a dose [mL].
 * @param doseMg the dose, in mg of the same thing (salt or base) as the strength is written in
 * @throws BadInput for a dose or strength that is zero, negative, infinite or not a number
 */
export function volumeToDraw(doseMg: number, strength: Strength): Worked<'mL'> {
  const dose = positive('dose', doseMg, 'mg')
  const known = knownStrength(strength)
  const volume = over(dose, known.mgPerMl)
  const steps = [known.step, `${figure(dose)} mg ÷ ${known.shown} ${equals(volume)} mL`]
  return figured(volume, 'mL', steps, [SOURCES.definition])
}

/**
 * What a volume holds [mg].
 * @throws BadInput as `volumeToDraw`
 */
export function massInVolume(volumeMl: number, strength: Strength): Worked<'mg'> {
  const volume = positive('volume', volumeMl, 'mL')
  const known = knownStrength(strength)
  const mass = times(volume, known.mgPerMl)
  const steps = [known.step, `${figure(volume)} mL × ${known.shown} ${equals(mass)} mg`]
  return figured(mass, 'mg', steps, [SOURCES.definition])
}

/**
 * The volume that holds a dose counted in units of activity [mL]. Units are never turned into milligrams here:
 * the same number of units weighs differently from drug to drug and from salt to base.
 * @throws BadInput as `volumeToDraw`
 */
export function volumeOfUnits(doseUnits: number, unitsPerMl: number): Worked<'mL'> {
  const dose = positive('dose', doseUnits, '[iU]')
  const strength = positive('strength', unitsPerMl, '[iU]/mL')
  const volume = over(dose, strength)
  const step = `${figure(dose)} units ÷ ${figure(strength)} units/mL ${equals(volume)} mL`
  return figured(volume, 'mL', [step], [SOURCES.definition])
}
