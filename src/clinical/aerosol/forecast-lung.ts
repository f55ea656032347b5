import type { Ends } from './cup-kinds.ts'
import { type Droplets, jetDroplets, massShareBelow } from './droplets.ts'
import { COVERED_LUNG_FLOW, deadSpaceMl, type LungBreath, lungShare, regionalDeposition } from './lung.ts'
import type { CheckedSetup } from './setup.ts'

const PARTS = [
  'fineParticle',
  'nose',
  'mouthThroat',
  'bronchi',
  'bronchioles',
  'alveoli',
  'lung',
  'exhaled',
] as const
/** Shares of what passes the lips. */
export type LungShares = Record<(typeof PARTS)[number], Ends>

/** Why no shares can be given; null when they can. */
export function whyNoLung({ setup, breath, airways }: CheckedSetup): string | null {
  if (setup.medicine.form === 'suspension') {
    return 'In a suspension, droplets smaller than its particles carry no medicine: where it lands cannot be told from droplet sizes.'
  }
  const leastMl = deadSpaceMl(airways) * 1.1
  if (setup.breath.tidalMl < leastMl) {
    return `A breath of ${setup.breath.tidalMl} mL hardly passes the ${deadSpaceMl(airways).toFixed(0)} mL of the airways: the lung chain covers ${leastMl.toFixed(0)} mL and more.`
  }
  const flowMlPerS = breath.tidalMl / breath.inS
  if (flowMlPerS < COVERED_LUNG_FLOW.low || flowMlPerS > COVERED_LUNG_FLOW.high) {
    return `Breathing in at ${flowMlPerS.toFixed(0)} mL/s is outside the ${COVERED_LUNG_FLOW.low} to ${COVERED_LUNG_FLOW.high} mL/s of the lung chain.`
  }
  return null
}

/** Droplets of this set-up: as measured, or the usual median and spread at their ends. */
export function dropletEnds({ setup }: CheckedSetup): {
  readonly likely: Droplets
  readonly ends: Droplets[]
} {
  const measured = setup.cup.droplets
  if (measured) return { likely: measured, ends: [] }
  const { mmadUm, gsd } = jetDroplets(setup.gas.flowLPerMin)
  const corner = (size: 'low' | 'high', width: 'low' | 'high') => ({ mmadUm: mmadUm[size], gsd: gsd[width] })
  return {
    likely: { mmadUm: mmadUm.likely, gsd: gsd.likely },
    ends: [corner('low', 'low'), corner('low', 'high'), corner('high', 'low'), corner('high', 'high')],
  }
}

export function lungBreathOf({ setup, breath, airways }: CheckedSetup): LungBreath {
  return {
    route: setup.breathesBy,
    tidalMl: breath.tidalMl,
    flowMlPerS: breath.tidalMl / breath.inS,
    airways,
  }
}

/** Where inhaled droplets land: likely droplets, and the least and most over the corners of size and spread. */
export function lungShares(checked: CheckedSetup): LungShares {
  const breath = lungBreathOf(checked)
  const { likely, ends } = dropletEnds(checked)
  const middle = partsOf(likely, breath)
  const all = [middle, ...ends.map((droplets) => partsOf(droplets, breath))]
  const shares = {} as LungShares
  for (const part of PARTS) {
    const values = all.map((parts) => parts[part])
    shares[part] = { low: Math.min(...values), likely: middle[part], high: Math.max(...values) }
  }
  return shares
}

function partsOf(droplets: Droplets, breath: LungBreath): Record<(typeof PARTS)[number], number> {
  const deposition = regionalDeposition(droplets, breath)
  const fineParticle = massShareBelow(droplets, 5) - massShareBelow(droplets, 1)
  return { fineParticle, ...deposition, lung: lungShare(deposition) }
}
