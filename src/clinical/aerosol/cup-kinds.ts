import { BadInput } from '../worked.ts'
import type { CupParameters } from './cup.ts'
import kinds from './data/cup-kinds.table.json' with { type: 'json' }

export const CUP_KINDS = [
  'jet',
  'mesh',
  'breath-enhanced',
  'breath-actuated',
  'ultrasonic',
  'large-volume',
] as const
export type CupKind = (typeof CUP_KINDS)[number]

/** Low, likely and high of one figure, all in its unit. */
export type Ends = { readonly low: number; readonly likely: number; readonly high: number }

/** Thrown for something that exists but for which no published figures were found: a forecast would be invented. */
export class NoPublishedData extends BadInput {
  override readonly name = 'NoPublishedData'
  readonly why: string
  constructor(field: string, given: unknown, allowed: string, why: string) {
    super(field, given, allowed)
    this.message = `${this.message}. ${why}`
    this.why = why
  }
}

const WHY_NOT: Partial<Record<CupKind, string>> = {
  'breath-enhanced':
    'It lets the breath through the cup, and no published output by flow and breath was found.',
  'breath-actuated': 'It makes mist while the patient breathes in, and no published output for it was found.',
  ultrasonic: 'It warms the medicine and uses no driving gas, and no published output for it was found.',
  'large-volume': 'Its output must be measured in mL/h: ask for the continuous forecast instead.',
}

/**
 * @throws BadInput for a kind that is not listed; NoPublishedData for one that cannot be forecast
 */
export function forecastableKind(kind: string): 'jet' | 'mesh' {
  if (kind === 'jet' || kind === 'mesh') return kind
  const why = WHY_NOT[kind as CupKind]
  if (why === undefined) throw new BadInput('cup.kind', kind, CUP_KINDS.join(', '))
  throw new NoPublishedData('cup.kind', kind, 'jet, mesh', why)
}

/** The three numbers of an entry, without its source. */
function endsOf({ low, likely, high }: Ends): Ends {
  return { low, likely, high }
}

/** Fills at which published runs were reproduced. */
export const COVERED_CHECKED_FILL = { low: 2, high: 6, unit: 'mL' }
/** Flow of dry driving gas for which the jet and its droplets were set. */
export const COVERED_JET_FLOW = { low: 4, high: 12, unit: 'L/min' }
export const CAPACITY_ML = { jet: kinds.jet.capacityMl.likely, mesh: kinds.mesh.capacityMl.likely } as const
export const MESH_LEFT_ML = endsOf(kinds.mesh.leftMl)
export const JET_DROPLETS = endsOf(kinds.jet.dropletGPerMin)
export const JET_SPUTTER = endsOf(kinds.jet.sputterMl)
export const JET_ROOM_HEAT = endsOf(kinds.jet.roomHeatWPerK)
/** Of a jet at REFERENCE_FLOW, in micrometers. */
export const MMAD_AT_REFERENCE = endsOf(kinds.droplets.mmadUm)
export const GSD = endsOf(kinds.droplets.gsd)

/** The one set of a jet cup that meets the published observations together. */
export const JET: CupParameters = {
  dropletGPerMin: JET_DROPLETS.likely,
  sputterMl: JET_SPUTTER.likely,
  roomHeatWPerK: JET_ROOM_HEAT.likely,
  plasticJPerK: kinds.jet.plasticJPerK.likely,
  noMistLPerMin: kinds.jet.noMistLPerMin.likely,
  halvingS: kinds.jet.halvingS.likely,
}
