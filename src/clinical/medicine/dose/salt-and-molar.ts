import type { Worked } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import { type Exact, equals, exact, figure, over, positive, times } from './exact.ts'
import { figured } from './figured.ts'
import { massInVolume } from './volume-and-mass.ts'

const BASIS = [SOURCES.definition]

/**
 * The mass of salt that carries a mass of base, for a salt that holds two molecules of base (a sulfate) or another
 * number of them [mg].
 * @throws BadInput when a figure cannot be used
 */
export function saltFromBase(
  baseMg: number,
  massOfBase: number,
  massOfSalt: number,
  basesInSalt = 2,
): Worked<'mg'> {
  const base = positive('base', baseMg, 'mg')
  const { salt, bases, perMol } = salts(massOfBase, massOfSalt, basesInSalt)
  const mass = over(times(base, salt), perMol)
  const step = `${figure(base)} mg × ${figure(salt)} ÷ (${figure(bases)} × ${massOfBase}) ${equals(mass)} mg of salt`
  return figured(mass, 'mg', [step], BASIS)
}

/**
 * The mass of base in a mass of salt [mg]; the way back from `saltFromBase`.
 * @throws BadInput when a figure cannot be used
 */
export function baseFromSalt(
  saltMg: number,
  massOfBase: number,
  massOfSalt: number,
  basesInSalt = 2,
): Worked<'mg'> {
  const given = positive('salt', saltMg, 'mg')
  const { salt, bases, perMol } = salts(massOfBase, massOfSalt, basesInSalt)
  const mass = over(times(given, perMol), salt)
  const step = `${figure(given)} mg × (${figure(bases)} × ${massOfBase}) ÷ ${figure(salt)} ${equals(mass)} mg of base`
  return figured(mass, 'mg', [step], BASIS)
}

/**
 * What a volume of a molar solution holds [mg].
 * @throws BadInput when a figure cannot be used
 */
export function massOfMolar(volumeMl: number, mmolPerL: number, gramsPerMol: number): Worked<'mg'> {
  const mass = massInVolume(volumeMl, { as: 'molar', mmolPerL, gramsPerMol })
  return { ...mass, caution: 'a molarity on a label is often rounded: the printed mass goes first' }
}

function salts(massOfBase: number, massOfSalt: number, basesInSalt: number) {
  const base = positive('molecular weight of the base', massOfBase, 'g/mol')
  const salt = positive('molecular weight of the salt', massOfSalt, 'g/mol')
  const bases = positive('bases in the salt', basesInSalt, '1')
  const perMol: Exact = times(bases, base)
  return { salt, bases, perMol }
}

/**
 * Micrograms as milligrams.
 * @throws BadInput when the figure cannot be used
 */
export function mgFromMcg(mcg: number): Worked<'mg'> {
  const given = positive('dose', mcg, 'ug')
  const mg = over(given, exact(1000))
  return figured(mg, 'mg', [`${figure(given)} mcg ÷ 1000 ${equals(mg)} mg`], BASIS)
}
