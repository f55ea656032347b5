import { BadInput, type Worked } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import { above, type Exact, equals, figure, minus, over, positive, sum } from './exact.ts'
import { figured } from './figured.ts'
import { knownStrength, type Strength } from './strength.ts'

/** A dose made up with diluent to a fill. */
export type MadeUp = {
  readonly drug: Worked<'mL'>
  readonly diluent: Worked<'mL'>
  readonly final: Worked<'mg/mL'>
}

/**
 * Draws a dose from a stock and makes it up with diluent to the wanted fill.
 * @throws BadInput when a figure cannot be used, or when the drug alone is more than the fill
 */
export function diluteToFill(doseMg: number, stock: Strength, targetFillMl: number): MadeUp {
  const dose = positive('dose', doseMg, 'mg')
  const known = knownStrength(stock)
  const fill = positive('target fill', targetFillMl, 'mL')
  const drug = over(dose, known.mgPerMl)
  const draw = `${figure(dose)} mg ÷ ${known.shown} ${equals(drug)} mL of drug`
  const toFill = diluentToFill(drug, fill)
  const final = over(dose, fill)
  const mixed = `${figure(dose)} mg ÷ ${figure(fill)} mL ${equals(final)} mg/mL in the cup`
  return {
    drug: figured(drug, 'mL', [known.step, draw], [SOURCES.definition]),
    diluent: figured(toFill.diluent, 'mL', [known.step, draw, toFill.step], [SOURCES.definition]),
    final: figured(final, 'mg/mL', [mixed], [SOURCES.definition]),
  }
}

/** What stands in the cup before diluent: a unit dose, opened and poured. */
export type UnitDose = { readonly name: string; readonly volumeMl: number }

/**
 * Unit doses poured together, and the diluent that is still missing to the wanted fill.
 * @throws BadInput when there is no unit, a figure cannot be used, or the units alone are more than the fill
 */
export function unitDosesPlusDiluent(
  units: readonly UnitDose[],
  targetFillMl: number,
): { readonly drug: Worked<'mL'>; readonly diluent: Worked<'mL'> } {
  if (units.length === 0) throw new BadInput('units', 'an empty list', 'at least one unit dose')
  const volumes = units.map(({ name, volumeMl }) => positive(`volume of ${name}`, volumeMl, 'mL'))
  const drug = sum(volumes)
  const poured = `${volumes.map((volume) => `${figure(volume)} mL`).join(' + ')} ${equals(drug)} mL`
  const toFill = diluentToFill(drug, positive('target fill', targetFillMl, 'mL'))
  return {
    drug: figured(drug, 'mL', [poured], [SOURCES.definition]),
    diluent: figured(toFill.diluent, 'mL', [poured, toFill.step], [SOURCES.definition]),
  }
}

/**
 * What is missing between the drug and the fill. Zero is an answer: no diluent is needed.
 * @throws BadInput when the drug alone is more than the fill
 */
function diluentToFill(drug: Exact, fill: Exact): { diluent: Exact; step: string } {
  if (above(drug, fill)) {
    throw new BadInput(
      'target fill',
      `${figure(fill)} mL`,
      `at least the ${figure(drug)} mL that the drug takes up by itself; taking drug out would change the dose`,
    )
  }
  const diluent = minus(fill, drug)
  return { diluent, step: `${figure(fill)} mL − ${figure(drug)} mL ${equals(diluent)} mL of diluent` }
}
