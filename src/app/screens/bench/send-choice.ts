import type { BodyOf } from '../../../chart/registry.ts'
import { writeBench } from './bench-link.ts'
import { type Bench, letterAt } from './bench-state.ts'

/**
 * One set-up of the bench as it is sent to a visit, with the link to the whole bench; null when there is none there.
 * Distance and mask are null unless the mask is held off.
 */
export function sentFrom(bench: Bench, at: number): BodyOf<'set-up-sent'> | null {
  const setup = bench.setups[at]
  if (!setup) return null
  const off = setup.interface === 'mask held off'
  return {
    ...setup,
    distanceCm: off ? setup.distanceCm : null,
    mask: off ? setup.mask : null,
    bench: writeBench(bench, null),
    letter: letterAt(at),
  }
}
