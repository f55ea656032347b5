import { requireWithin } from '../worked.ts'
import { REFERENCE_FLOW } from './cup.ts'
import { COVERED_JET_FLOW, type Ends, GSD, MMAD_AT_REFERENCE } from './cup-kinds.ts'
import { normalBelow } from './normal.ts'

/** Mass by size is lognormal. Unit density and spheres: aerodynamic and geometric diameter are one. */
export type Droplets = {
  /** Mass median aerodynamic diameter [um]. */
  readonly mmadUm: number
  /** Geometric standard deviation. */
  readonly gsd: number
}

const COVERED_MMAD = { low: 0.5, high: 15, unit: 'um' }
const COVERED_SIZE = { low: 0.001, high: 1000, unit: 'um' }
const COVERED_GSD = { low: 1.05, high: 4, unit: '1' }

/**
 * @throws OutsideValidity for a size or spread outside COVERED_MMAD or COVERED_GSD
 */
export function requireDroplets(droplets: Droplets): void {
  requireWithin('mmadUm', droplets.mmadUm, COVERED_MMAD)
  requireWithin('gsd', droplets.gsd, COVERED_GSD)
}

/**
 * Share of the mass in droplets smaller than `um`: Φ(ln(d ÷ MMAD) ÷ ln GSD).
 * @throws OutsideValidity for droplets or a size that are not covered
 */
export function massShareBelow(droplets: Droplets, um: number): number {
  requireDroplets(droplets)
  requireWithin('diameterUm', um, COVERED_SIZE)
  return normalBelow(Math.log(um / droplets.mmadUm) / Math.log(droplets.gsd))
}

/**
 * Count median diameter [um] from the mass median: MMD × e^(-3 ln² GSD) (HATCH_CHOATE).
 * @throws OutsideValidity
 */
export function countMedianUm(droplets: Droplets): number {
  requireDroplets(droplets)
  return droplets.mmadUm * Math.exp(-3 * Math.log(droplets.gsd) ** 2)
}

/**
 * Diameter [um] that lies `z` standard deviations from the mass median: -1 and 1 are the 16th and 84th percentile.
 * @throws OutsideValidity
 */
export function diameterAt(droplets: Droplets, z: number): number {
  requireDroplets(droplets)
  return droplets.mmadUm * droplets.gsd ** z
}

/**
 * Mass median by flow, against the median at 8 L/min. Doubling the flow from 4 L/min halves it (CLAY_THORAX_1983);
 * above 8 L/min it falls by the power 0.7 (USUAL_FIGURES).
 * @throws OutsideValidity for a flow outside COVERED_JET_FLOW
 */
export function sizeByFlow(flowLPerMin: number): number {
  requireWithin('flowLPerMin', flowLPerMin, COVERED_JET_FLOW)
  const power = flowLPerMin <= REFERENCE_FLOW ? 1 : 0.7
  return (REFERENCE_FLOW / flowLPerMin) ** power
}

/** What a jet of unknown make gives at this flow: ends of the usual sizes and spreads. */
export function jetDroplets(flowLPerMin: number): { readonly mmadUm: Ends; readonly gsd: Ends } {
  const factor = sizeByFlow(flowLPerMin)
  const { low, likely, high } = MMAD_AT_REFERENCE
  return { mmadUm: { low: low * factor, likely: likely * factor, high: high * factor }, gsd: GSD }
}
