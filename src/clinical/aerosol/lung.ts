import { BadInput, OutsideValidity, requireWithin } from '../worked.ts'
import { type Droplets, requireDroplets } from './droplets.ts'
import { NORMAL_POINTS } from './normal.ts'

export const ROUTES = ['mouth', 'nose'] as const
export type Route = (typeof ROUTES)[number]

/** Shares of what passes the lips or nostrils. Mouth and throat is ET2; nose is ET1 (none when breathing by mouth). */
export type Deposition = {
  readonly nose: number
  readonly mouthThroat: number
  readonly bronchi: number
  readonly bronchioles: number
  readonly alveoli: number
  readonly exhaled: number
}

/** Sizes of the airways. The adult is the reference man of ICRP 66. */
export type Airways = {
  readonly restMl: number
  readonly deadUpperMl: number
  readonly deadBronchiMl: number
  readonly deadBronchiolesMl: number
  /** Scaling factor of every diameter: 1 in the adult, larger for narrower airways. */
  readonly narrowness: number
}

const ADULT_KG = 73
export const ADULT_AIRWAYS: Airways = {
  restMl: 3301,
  deadUpperMl: 50,
  deadBronchiMl: 49,
  deadBronchiolesMl: 47,
  narrowness: 1,
}
export const COVERED_CHILD_KG = { low: 2, high: ADULT_KG, unit: 'kg' }

/**
 * Airways of a child: volumes by weight, diameters by its cube root. A scaling of ours from the adult, as the
 * values by age in ICRP 66 were not seen: outside what has been checked.
 * @throws OutsideValidity for a weight outside COVERED_CHILD_KG
 */
export function childAirways(weightKg: number): Airways {
  requireWithin('body.weightKg', weightKg, COVERED_CHILD_KG)
  const size = weightKg / ADULT_KG
  return {
    restMl: ADULT_AIRWAYS.restMl * size,
    deadUpperMl: ADULT_AIRWAYS.deadUpperMl * size,
    deadBronchiMl: ADULT_AIRWAYS.deadBronchiMl * size,
    deadBronchiolesMl: ADULT_AIRWAYS.deadBronchiolesMl * size,
    narrowness: size ** (-1 / 3),
  }
}

export type LungBreath = {
  readonly route: Route
  readonly tidalMl: number
  /** Mean flow of inspiration: tidal volume ÷ time of inspiration. */
  readonly flowMlPerS: number
  readonly airways: Airways
}

/** What a particle is made of; a droplet of water in `um` aerodynamic is a sphere of density 1. */
export type Particle = {
  readonly densityGPerCm3: number
  readonly shapeFactor: number
  /** Whether the figure is of the air around the person (true) or of what already passes the lips. */
  readonly ofAmbientAir: boolean
}
const DROPLET: Particle = { densityGPerCm3: 1, shapeFactor: 1, ofAmbientAir: false }

const FREE_PATH_UM = 0.0712
const BOLTZMANN_ERG_PER_K = 1.380649e-16
const BODY_K = 310
const VISCOSITY_POISE = 1.9e-4

/** Slip correction of Cunningham. */
function slip(um: number): number {
  const knudsen = (2 * FREE_PATH_UM) / um
  return 1 + knudsen * (1.257 + 0.4 * Math.exp(-1.1 / knudsen))
}

/** Diffusion coefficient of a sphere [cm2/s] after Stokes and Einstein. */
function diffusion(um: number): number {
  return (slip(um) * BOLTZMANN_ERG_PER_K * BODY_K) / (3 * Math.PI * VISCOSITY_POISE * um * 1e-4)
}

/** The sphere that diffuses like a particle of this aerodynamic diameter [um]; by fixed-point rounds. */
function thermodynamicUm(aerodynamicUm: number, { densityGPerCm3, shapeFactor }: Particle): number {
  const lightness = Math.sqrt(shapeFactor / densityGPerCm3)
  if (lightness === 1) return aerodynamicUm
  const target = aerodynamicUm * Math.sqrt(slip(aerodynamicUm))
  let um = aerodynamicUm * lightness
  for (let round = 0; round < 30; round++) um = (target * lightness) / Math.sqrt(slip(um))
  return um
}

const both = (aerodynamic: number, thermodynamic: number) =>
  Math.sqrt(aerodynamic * aerodynamic + thermodynamic * thermodynamic)

/**
 * All of the chain that does not depend on the size of the particle (ICRP_66), worked out once for a breath:
 * one breath is asked about many sizes. Symbols of the source: V tidal volume, Q flow, SF scaling factor.
 */
function prepare(breath: LungBreath, particle: Particle) {
  const { tidalMl: V, flowMlPerS: Q, airways } = breath
  const SF = airways.narrowness
  const stretch = 1 + (0.5 * V) / airways.restMl
  const bronchiS = (airways.deadBronchiMl / Q) * stretch
  const bronchiolesS = (airways.deadBronchiolesMl / Q) * stretch
  const reach = reachesMl(breath)
  const alveoliS = reach.alveoli / Q
  return {
    particle,
    byMouth: breath.route === 'mouth',
    share: { bronchi: reach.bronchi / V, bronchioles: reach.bronchioles / V, alveoli: reach.alveoli / V },
    upper: (Q * SF) ** -0.25,
    throat: 1.1e-4 * (Q ** 0.6 * V ** -0.2 * SF ** 2) ** 1.4,
    nose: 3e-4 * Q * SF ** 3,
    behindNose: 5.5e-5 * (Q * SF ** 3) ** 1.17,
    bronchi: 4.08e-6 * (Q * SF ** 2.3) ** 1.152,
    bronchiTh: 22.02 * SF ** 1.24 * bronchiS ** 0.6391,
    bronchiolesTime: 0.056 + bronchiolesS ** 1.5,
    bronchiolesPower: bronchiolesS ** -0.25,
    bronchiolesTh: (-76.8 + 167 * SF ** 0.65) * bronchiolesS ** 0.5676,
    alveoli: 0.146 * SF ** 0.98 * alveoliS ** 0.6495,
    alveoliTh: (170 + 103 * SF ** 2.13) * alveoliS ** 0.6101,
  }
}
type Prepared = ReturnType<typeof prepare>

type Filters = {
  nose: number
  throat: number
  bronchiIn: number
  bronchiOut: number
  bronchioles: number
  alveoli: number
}

/** Efficiency of each filter for one size: powers as exponentials of logarithms, each logarithm taken once. */
function filters(um: number, p: Prepared): Filters {
  const dTh = thermodynamicUm(um, p.particle)
  const D = diffusion(dTh)
  const lnD = Math.log(D)
  const ln = Math.log(um)
  const psi = 1 + 100 * Math.exp(-(Math.log10(100 + 10 * Math.exp(-0.9 * Math.log(dTh))) ** 2))
  const bronchiTh = 1 - Math.exp(-p.bronchiTh * psi * Math.exp(0.6391 * lnD))
  const bronchiPass = Math.exp(-p.bronchi * Math.exp(2.304 * ln))
  const settling = Math.exp(1.173 * (Math.log(p.bronchiolesTime) + p.bronchiolesPower * ln))
  const { nose, throat } = upperFilters(p, ln, D * p.upper)
  return {
    nose,
    throat,
    bronchiIn: both(1 - bronchiPass, bronchiTh),
    bronchiOut: both(1 - Math.sqrt(bronchiPass), bronchiTh), // half the exponent on the way out
    bronchioles: both(
      1 - Math.exp(-0.1147 * settling),
      1 - Math.exp(-p.bronchiolesTh * Math.exp(0.5676 * lnD)),
    ),
    alveoli: both(
      1 - Math.exp(-p.alveoli * Math.exp(1.299 * ln)),
      1 - Math.exp(-p.alveoliTh * Math.exp(0.6101 * lnD)),
    ),
  }
}

function upperFilters(p: Prepared, ln: number, upper: number): { nose: number; throat: number } {
  const root = Math.sqrt(upper)
  if (p.byMouth) {
    return { nose: 0, throat: both(1 - 1 / (p.throat * Math.exp(2.8 * ln) + 1), 1 - Math.exp(-9 * root)) }
  }
  return {
    nose: 0.5 * both(1 - 1 / (p.nose * Math.exp(2 * ln) + 1), 1 - Math.exp(-18 * root)),
    throat: both(
      1 - 1 / (p.behindNose * Math.exp(2.34 * ln) + 1),
      1 - Math.exp(-15.1 * Math.exp(0.538 * Math.log(upper))),
    ),
  }
}

/** How much of the tidal volume reaches each region [mL]. */
function reachesMl({ tidalMl, airways }: LungBreath): {
  bronchi: number
  bronchioles: number
  alveoli: number
} {
  const stretch = 1 + tidalMl / airways.restMl
  const bronchi = tidalMl - airways.deadUpperMl
  const bronchioles = bronchi - airways.deadBronchiMl * stretch
  return { bronchi, bronchioles, alveoli: bronchioles - airways.deadBronchiolesMl * stretch }
}

/** Tidal volume that just fills the airways, so that nothing reaches the alveoli [mL]. */
export function deadSpaceMl(airways: Airways): number {
  const lower = airways.deadBronchiMl + airways.deadBronchiolesMl
  return (airways.deadUpperMl + lower) / (1 - lower / airways.restMl)
}

/** Mean flows of inspiration that the chain was made for. */
export const COVERED_LUNG_FLOW = { low: 5, high: 3000, unit: 'mL/s' }

function requireLungBreath(breath: LungBreath): void {
  if (!ROUTES.includes(breath.route)) throw new BadInput('route', breath.route, ROUTES.join(', '))
  const { deadBronchiMl, deadBronchiolesMl, restMl } = breath.airways
  // The lower airways stretch with the breath: that is reckoned by a lung much larger than they are.
  requireWithin('restMl', restMl, { low: 2 * (deadBronchiMl + deadBronchiolesMl), high: 10_000, unit: 'mL' })
  const tidal = { low: deadSpaceMl(breath.airways) * 1.1, high: 3000, unit: 'mL' }
  if (!(breath.tidalMl >= tidal.low && breath.tidalMl <= tidal.high)) {
    throw new OutsideValidity('breath.tidalMl', breath.tidalMl, tidal)
  }
  requireWithin('flowMlPerS', breath.flowMlPerS, COVERED_LUNG_FLOW)
}

function requireParticle({ densityGPerCm3, shapeFactor }: Particle): void {
  requireWithin('densityGPerCm3', densityGPerCm3, { low: 0.01, high: 25, unit: 'g/cm3' })
  requireWithin('shapeFactor', shapeFactor, { low: 0.5, high: 10, unit: '1' })
}

/** Share of the particles in ambient air that enters nose or mouth, in still air (ICRP_66). */
export function inhalableShare(um: number): number {
  return 1 - 0.5 * (1 - 1 / (7.6e-4 * um ** 2.8 + 1))
}

/** In through nose, throat, bronchi and bronchioles to the alveoli, and out again the same way. */
function chain(um: number, prepared: Prepared): Deposition {
  const f = filters(um, prepared)
  const { share } = prepared
  const entered = prepared.particle.ofAmbientAir ? inhalableShare(um) : 1
  let passing = entered
  const stop = (efficiency: number, volumeShare: number): number => {
    const stopped = passing * efficiency * volumeShare
    passing *= 1 - efficiency
    return stopped
  }
  let nose = stop(f.nose, 1)
  let mouthThroat = stop(f.throat, 1)
  let bronchi = stop(f.bronchiIn, share.bronchi)
  let bronchioles = stop(f.bronchioles, share.bronchioles)
  const alveoli = stop(f.alveoli, share.alveoli)
  bronchioles += stop(f.bronchioles, share.bronchioles)
  bronchi += stop(f.bronchiOut, share.bronchi)
  mouthThroat += stop(f.throat, 1)
  nose += stop(f.nose, 1)
  const exhaled = entered - nose - mouthThroat - bronchi - bronchioles - alveoli
  return { nose, mouthThroat, bronchi, bronchioles, alveoli, exhaled }
}

/**
 * Where particles of one size land (ICRP_66), healthy adult unless the airways say otherwise.
 * @throws OutsideValidity or BadInput for a size or a breath that the chain does not cover
 */
export function depositionOfSize(um: number, breath: LungBreath, particle: Particle = DROPLET): Deposition {
  requireWithin('diameterUm', um, { low: 0.001, high: 1000, unit: 'um' })
  requireParticle(particle)
  requireLungBreath(breath)
  return chain(um, prepare(breath, particle))
}

/**
 * Where lognormal droplets land: the chain averaged over the sizes.
 * @throws OutsideValidity or BadInput for droplets or a breath that are not covered
 */
export function regionalDeposition(
  droplets: Droplets,
  breath: LungBreath,
  particle: Particle = DROPLET,
): Deposition {
  requireDroplets(droplets)
  requireParticle(particle)
  requireLungBreath(breath)
  const prepared = prepare(breath, particle)
  return overSizes(droplets, (um) => chain(um, prepared))
}

/** Averages over the lognormal by the points of the normal. */
function overSizes({ mmadUm, gsd }: Droplets, at: (um: number) => Deposition): Deposition {
  const sum = { nose: 0, mouthThroat: 0, bronchi: 0, bronchioles: 0, alveoli: 0, exhaled: 0 }
  for (const { z, weight } of NORMAL_POINTS) {
    const part = at(mmadUm * gsd ** z)
    sum.nose += weight * part.nose
    sum.mouthThroat += weight * part.mouthThroat
    sum.bronchi += weight * part.bronchi
    sum.bronchioles += weight * part.bronchioles
    sum.alveoli += weight * part.alveoli
    sum.exhaled += weight * part.exhaled
  }
  return sum
}

/** Share that lands below the throat. */
export function lungShare(deposition: Deposition): number {
  return deposition.bronchi + deposition.bronchioles + deposition.alveoli
}
