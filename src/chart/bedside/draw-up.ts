import { type AtMark, type NamedSyringe, nearestMark, syringesFor } from '../../clinical/medicine/index.ts'
import type { BedsideFinding } from './finding.ts'
import type { CupPlan } from './plan-cup.ts'

/** One volume that is drawn with a syringe: which one, what its marks allow, and which others would do. */
export type DrawnUp = AtMark & {
  readonly text: string
  readonly syringe: NamedSyringe
  readonly syringes: readonly NamedSyringe[]
}

/**
 * The volumes of a plan that are measured and not poured whole, each with the syringe that was chosen for it by name,
 * or the finest that holds it. What no common syringe can draw in one go is left out.
 */
export function drawnUp(
  volumes: CupPlan['volumes'],
  chosen: Readonly<Record<string, string>>,
): readonly DrawnUp[] {
  return volumes.flatMap(({ text, worked, measured }) => {
    const syringes = measured ? syringesFor(worked.value) : []
    const syringe = syringes.find(({ name }) => name === chosen[text]) ?? syringes[0]
    return syringe ? [{ text, syringe, syringes, ...nearestMark(worked.value, syringe) }] : []
  })
}

/** A syringe whose marks move the dose by more than the limit: to be answered before the cup is made up with it. */
export function coarseFindings(drawn: readonly DrawnUp[]): readonly BedsideFinding[] {
  return drawn
    .filter(({ tooCoarse }) => tooCoarse)
    .map(({ text, syringe, measured, doseError }) => ({
      code: `syringe-coarse:${text}:${syringe.name}`,
      severity: 'ask',
      what: `${text}: with the ${syringe.name} syringe ${measured.value} mL are drawn, a dose ${doseError.value.toFixed(1)} % off.`,
      why: doseError.steps.join('; '),
      sources: doseError.sources.map(({ cite, standing }) => `${cite} (${standing})`),
    }))
}
