import { BadInput, requireWithin } from '../worked.ts'
import type { Ends } from './cup-kinds.ts'
import table from './data/interface.table.json' with { type: 'json' }
import type { AerosolSourceKey } from './sources.ts'

export const MASKS = ['standard', 'shaped'] as const
export type MaskShape = (typeof MASKS)[number]

/** How the mist gets to the patient. */
export type Interface =
  | { readonly kind: 'mouthpiece' | 'mask' | 'tracheostomy collar' | 'in-line' }
  | { readonly kind: 'mask held off'; readonly distanceCm: number; readonly mask: MaskShape }

export const INTERFACE_KINDS = [
  'mouthpiece',
  'mask',
  'mask held off',
  'tracheostomy collar',
  'in-line',
] as const

/** Distances that were measured; between them the figures are joined by straight lines. */
export const COVERED_DISTANCE = { low: 0, high: 4, unit: 'cm' }

export type InterfaceShare =
  | {
      readonly known: true
      readonly share: Ends
      /** False for a mask held off: the spread is shown, and no dose is promised. */
      readonly promises: boolean
      readonly sources: readonly AerosolSourceKey[]
    }
  | { readonly known: false; readonly why: string }

const NOT_MEASURED =
  'No published share of the dose was found for it; run time and what leaves the cup still hold.'

/**
 * Share of what the breath could take that passes the lips (or nostrils) with this interface.
 * Not known for a tracheostomy collar or in-line in a ventilator circuit: says so instead of a number.
 * @throws BadInput for an interface or mask that is not listed; OutsideValidity for a distance that was not measured
 */
export function interfaceShare(used: Interface): InterfaceShare {
  switch (used.kind) {
    case 'mouthpiece':
      return known(table.mouthpiece, true, ['USUAL_FIGURES'])
    case 'mask':
      return known(table.mask, true, ['USUAL_FIGURES'])
    case 'mask held off':
      return known(heldOff(used.distanceCm, used.mask), false, ['LIN_2007', 'MANSOUR_2012', 'USUAL_FIGURES'])
    case 'tracheostomy collar':
    case 'in-line':
      return { known: false, why: NOT_MEASURED }
    default:
      throw new BadInput('interface.kind', (used as { kind: unknown }).kind, INTERFACE_KINDS.join(', '))
  }
}

function known(share: Ends, promises: boolean, sources: readonly AerosolSourceKey[]): InterfaceShare {
  return { known: true, share, promises, sources }
}

function heldOff(distanceCm: number, mask: MaskShape): Ends {
  const away = shareHeldOff(distanceCm, mask)
  const { low, likely, high } = table.mask
  return { low: low * away.low, likely: likely * away.likely, high: high * away.high }
}

/**
 * What is inhaled with the mask held off, against the same mask on the face (LIN_2007, MANSOUR_2012).
 * @throws BadInput, OutsideValidity
 */
export function shareHeldOff(distanceCm: number, mask: MaskShape): Ends {
  if (!MASKS.includes(mask)) throw new BadInput('interface.mask', mask, MASKS.join(', '))
  requireWithin('interface.distanceCm', distanceCm, COVERED_DISTANCE)
  const points = table.heldOff[mask]
  const next = points.findIndex((point) => point.distanceCm >= distanceCm)
  const to = points[next]
  const from = points[next - 1] ?? to
  if (!from || !to) throw new BadInput('interface.distanceCm', distanceCm, 'a distance that was measured')
  const way = to === from ? 0 : (distanceCm - from.distanceCm) / (to.distanceCm - from.distanceCm)
  const between = (a: number, b: number) => a + way * (b - a)
  return {
    low: between(from.low, to.low),
    likely: between(from.likely, to.likely),
    high: between(from.high, to.high),
  }
}
