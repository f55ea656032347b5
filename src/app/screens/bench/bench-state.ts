import { GAS_KINDS, type GasKind } from '../../../clinical/aerosol/gas.ts'
import { INTERFACE_KINDS, MASKS, type MaskShape } from '../../../clinical/aerosol/interface.ts'
import type { Route } from '../../../clinical/aerosol/lung.ts'

/** Who breathes and what is in the cup: the same for all set-ups on the bench. */
export type BenchPatient = {
  readonly doseMg: number
  readonly form: (typeof FORMS)[number]
  readonly lungs: (typeof LUNGS)[number]
  /** Null for an adult. */
  readonly weightKg: number | null
  readonly tidalMl: number
  readonly ratePerMin: number
  /** How many times as long as in the patient breathes out. */
  readonly outPerIn: number
  /** Oxygen by nasal cannula besides; 0 without. */
  readonly cannulaLPerMin: number
  readonly roomCel: number
  readonly pressureKPa: number
}

/** One set-up. Distance and mask count only while the mask is held off; they are kept for when it is again. */
export type BenchSetup = {
  readonly cupId: string
  readonly fillMl: number
  readonly gas: GasKind
  readonly flowLPerMin: number
  readonly interface: (typeof INTERFACES)[number]
  readonly distanceCm: number
  readonly mask: MaskShape
  readonly reservoirMl: number
  readonly breathesBy: Route
}

/** Two to four set-ups beside each other, tried on one patient. */
export type Bench = { readonly patient: BenchPatient; readonly setups: readonly BenchSetup[] }

export const GASES = GAS_KINDS
export const INTERFACES = INTERFACE_KINDS
export const MASK_SHAPES = MASKS
export const FORMS = ['solution', 'suspension'] as const
export const LUNGS = ['healthy', 'obstructed'] as const

/** By these the set-ups are called, in links and on the screen. */
export const LETTERS = ['a', 'b', 'c', 'd'] as const
export const FEWEST = 2

/** The name of the set-up at a place, as it is shown. */
export function letterAt(at: number): string {
  return (LETTERS[at] ?? '').toUpperCase()
}

/** A bench to start from: a quiet adult, a mouthpiece with its tube against a mask on oxygen. */
export const USUAL_BENCH: Bench = {
  patient: {
    doseMg: 2.5,
    form: 'solution',
    lungs: 'healthy',
    weightKg: null,
    tidalMl: 500,
    ratePerMin: 15,
    outPerIn: 1,
    cannulaLPerMin: 0,
    roomCel: 22,
    pressureKPa: 101.3,
  },
  setups: [
    {
      cupId: 'tee-jet',
      fillMl: 3,
      gas: 'air',
      flowLPerMin: 6,
      interface: 'mouthpiece',
      distanceCm: 2,
      mask: 'standard',
      reservoirMl: 50,
      breathesBy: 'mouth',
    },
    {
      cupId: 'mask-jet',
      fillMl: 3,
      gas: 'oxygen',
      flowLPerMin: 8,
      interface: 'mask',
      distanceCm: 2,
      mask: 'standard',
      reservoirMl: 0,
      breathesBy: 'mouth',
    },
  ],
}

/** The bench with one set-up changed; the others stay the same objects, so that they are not worked out again. */
export function withSetup(bench: Bench, at: number, change: Partial<BenchSetup>): Bench {
  return { ...bench, setups: bench.setups.map((each, i) => (i === at ? { ...each, ...change } : each)) }
}

/**
 * What a change of interface brings with it: a mouthpiece is breathed by mouth and has its tube of 50 mL, the others
 * have none (both can be changed again, the first not back to the nose: the forecast refuses that and says why).
 */
export function withInterface(used: BenchSetup['interface']): Partial<BenchSetup> {
  return used === 'mouthpiece'
    ? { interface: used, reservoirMl: 50, breathesBy: 'mouth' }
    : { interface: used, reservoirMl: 0 }
}
