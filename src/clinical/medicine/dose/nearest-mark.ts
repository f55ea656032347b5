import type { Worked } from '../../worked.ts'
import syringes from '../data/syringes.json' with { type: 'json' }
import { SOURCES } from '../sources.ts'
import { above, equals, exact, figure, minus, nearestSteps, over, positive, times } from './exact.ts'
import { figured } from './figured.ts'
import { DOSE_ERROR_LIMIT_PERCENT, refuseUnmeasurable, type Syringe } from './measured-volume.ts'

/** A syringe by the name it goes by, its size. */
export type NamedSyringe = Syringe & { readonly name: string; readonly capacityMl: number }

/** Common syringes, smallest first (marks from memory). */
export const SYRINGES: readonly NamedSyringe[] = syringes.syringes

/** A volume at the nearest mark, and what that does to whatever is dissolved in it. */
export type AtMark = {
  readonly measured: Worked<'mL'>
  /** Measured less wanted, in percent of the volume and so of the dose. */
  readonly doseError: Worked<'%'>
  readonly tooCoarse: boolean
}

/** The syringes that a volume can be drawn with in one draw, smallest and so finest first; none above 20 mL. */
export function syringesFor(volumeMl: number): readonly NamedSyringe[] {
  return SYRINGES.filter(
    ({ capacityMl, graduationMl }) => volumeMl <= capacityMl && volumeMl > graduationMl / 2,
  )
}

/**
 * A volume [mL] at the nearest mark of a syringe, the lower of two that are equally near. It is the volume that is
 * rounded, so this holds for doses in any unit.
 * @throws BadInput for a volume that is no volume, under half a mark, or more than the syringe holds
 */
export function nearestMark(volumeMl: number, syringe: NamedSyringe): AtMark {
  const wanted = positive('volume', volumeMl, 'mL')
  const mark = positive('graduation', syringe.graduationMl, 'mL')
  const drawn = times(nearestSteps(wanted, mark), mark)
  refuseUnmeasurable(wanted, drawn, mark, syringe)

  const error = over(times(minus(drawn, wanted), exact(100)), wanted)
  const size = error.top < 0n ? { ...error, top: -error.top } : error
  const tooCoarse = above(size, exact(DOSE_ERROR_LIMIT_PERCENT))
  const nearest = `${figure(wanted)} mL on a ${syringe.name} syringe with marks of ${figure(mark)} mL: ${figure(drawn)} mL`
  const off = `(${figure(drawn)} mL − ${figure(wanted)} mL) ÷ ${figure(wanted)} mL ${equals(error)} % of the dose`
  const caution = tooCoarse
    ? `the dose would be ${figure(error)} % off, more than ${DOSE_ERROR_LIMIT_PERCENT} %: take a finer syringe or another strength`
    : undefined
  return {
    measured: figured(drawn, 'mL', [nearest], [SOURCES['syringe-marks']], caution),
    doseError: figured(
      error,
      '%',
      [nearest, off],
      [SOURCES['syringe-marks'], SOURCES['syringe-limit']],
      caution,
    ),
    tooCoarse,
  }
}
