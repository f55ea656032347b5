import { afterRun, type Cylinder, cylinderMinutes, KEPT_BAR, KEPT_PSI } from '../../clinical/oxygen/index.ts'
import { BadInput, type Worked } from '../../clinical/worked.ts'
import type { GasSupply } from '../facts/visit.ts'

/** What a cylinder gives at this flow, or why that cannot be said. Null when the gas is not from a cylinder. */
export type CylinderView =
  | {
      readonly ok: true
      /** Minutes above what is kept in it. */
      readonly minutes: Worked<'min'>
      /** Whether they are enough for the longest that the run may take; null without a forecast. */
      readonly lasts: boolean | null
    }
  | { readonly ok: false; readonly why: string }
  | null

/** Minutes of a cylinder at this flow, against the longest that the run may take. */
export function cylinderVisit(
  supply: GasSupply | undefined,
  flowLPerMin: number,
  longestRunMin: number | null,
): CylinderView {
  if (supply?.from !== 'cylinder') return null
  // An entry begins at nothing: a gauge that nobody has read is no empty cylinder.
  if (gaugeOf(supply.cylinder) === 0) return { ok: false, why: 'Its gauge has not been read.' }
  try {
    const cylinder = cylinderOf(supply.cylinder)
    const minutes = cylinderMinutes(cylinder, flowLPerMin)
    const lasts = longestRunMin === null ? null : afterRun(cylinder, flowLPerMin, longestRunMin).lastsTheRun
    return { ok: true, minutes, lasts }
  } catch (error) {
    if (error instanceof BadInput) return { ok: false, why: `${error.message}.` }
    throw error
  }
}

type Given = Extract<GasSupply, { from: 'cylinder' }>['cylinder']

const gaugeOf = (given: Given) => ('waterL' in given ? given.bar : given.psi)

function cylinderOf(given: Given): Cylinder {
  if ('waterL' in given) return { ...given, keptBar: KEPT_BAR }
  // Any other size than those that are carried is refused by the reckoning itself.
  return {
    size: given.size as Extract<Cylinder, { size: unknown }>['size'],
    psi: given.psi,
    keptPsi: KEPT_PSI,
  }
}
