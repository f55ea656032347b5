import {
  AIR_OXYGEN,
  type Breath,
  type BreathPattern,
  breathOf,
  type GasKind,
  gasOf,
  plugFlow,
} from '../aerosol/index.ts'
import { requireWithin, type Worked } from '../worked.ts'
import { OXYGEN_SOURCES } from './sources.ts'

/** What the patient breathes during a treatment. */
export type OxygenSetup = {
  readonly breath: BreathPattern
  /** Gas that drives the cup; flow 0 before and after the treatment. */
  readonly gas: GasKind
  readonly flowLPerMin: number
  readonly reservoirMl: number
  /** Oxygen by nasal cannula, 0 without. */
  readonly cannulaLPerMin: number
  /** Anatomic reservoir that a cannula fills: 50 mL in an adult (SHAPIRO). */
  readonly anatomicMl: number
}

const COVERED_OXYGEN = {
  flowLPerMin: { low: 0, high: 15, unit: 'L/min' },
  reservoirMl: { low: 0, high: 500, unit: 'mL' },
  cannulaLPerMin: { low: 0, high: 6, unit: 'L/min' },
  anatomicMl: { low: 0, high: 70, unit: 'mL' },
} as const

/** Of the ideal rise above room air, what was measured in the throat: 0.46 to 0.49 (GEA_2010). */
const LEAST_OF_RISE = 0.45
/** Share of oxygen that breathing takes out of the air (EXTRACTION). */
const EXTRACTED = 0.05
/** A cannula fills the anatomic reservoir in the last quarter of expiration (SHAPIRO). */
const PAUSE = 0.25

/** Volumes of one inspiration [mL]; they add up to the tidal volume. */
export type InspiredVolumes = {
  readonly cannulaMl: number
  readonly cupMl: number
  readonly rebreathedMl: number
  readonly roomMl: number
}

/**
 * Where one inspiration comes from. The cannula first, then cup and tube (as a plug), then the room; what cannula and
 * cup give beyond the tidal volume is lost.
 */
function inspiredVolumes(setup: OxygenSetup, breath: Breath): InspiredVolumes {
  const { tidalMl } = breath
  const cannulaMl = Math.min(tidalMl, cannulaMlOf(setup, breath))
  const flow = (setup.flowLPerMin * 1000) / 60
  const sources = flow > 0 ? plugFlow(breath, flow, setup.reservoirMl) : noCup(tidalMl)
  const left = tidalMl - cannulaMl
  const cupMl = Math.min(left, sources.cupMl)
  const rebreathedMl = Math.min(left - cupMl, sources.rebreathedMl)
  return { cannulaMl, cupMl, rebreathedMl, roomMl: left - cupMl - rebreathedMl }
}

const noCup = (tidalMl: number) => ({ cupMl: 0, rebreathedMl: 0, roomMl: tidalMl })

/** Q × Ti + min(reservoir, Q × quarter of Te) (SHAPIRO). */
function cannulaMlOf({ cannulaLPerMin, anatomicMl }: OxygenSetup, breath: Breath): number {
  const flow = (cannulaLPerMin * 1000) / 60
  return flow * breath.inS + Math.min(anatomicMl, flow * PAUSE * breath.outS)
}

/**
 * Share of oxygen if all gases mix ideally: exhaled gas out of the tube holds EXTRACTED less than is breathed in, so
 * F × (tidal − rebreathed) = the rest.
 */
function idealShare(volumes: InspiredVolumes, cupOxygen: number, tidalMl: number): number {
  const brought = volumes.cannulaMl + volumes.cupMl * cupOxygen + volumes.roomMl * AIR_OXYGEN
  return (brought - volumes.rebreathedMl * EXTRACTED) / (tidalMl - volumes.rebreathedMl)
}

export type InspiredOxygen = {
  /** Low and high end of `share`. */
  readonly ends: readonly [low: number, high: number]
  /** Always to be shown as a range: from 0.45 of the rise above room air to all of it. `value` is the middle. */
  readonly share: Worked<'1'>
  /** With ideal mixing: the upper end where oxygen is added. */
  readonly idealShare: number
  readonly volumes: InspiredVolumes
}

/**
 * Inspired oxygen during a treatment, from the gas of the cup, its tube, a cannula and the room.
 * @throws BadInput or OutsideValidity naming field, value and what is allowed
 */
export function inspiredOxygen(setup: OxygenSetup): InspiredOxygen {
  const breath = breathOf(setup.breath)
  const gas = gasOf(setup.gas)
  for (const field of Object.keys(COVERED_OXYGEN) as (keyof typeof COVERED_OXYGEN)[]) {
    requireWithin(field, setup[field], COVERED_OXYGEN[field])
  }
  const volumes = inspiredVolumes(setup, breath)
  const ideal = idealShare(volumes, gas.oxygen, breath.tidalMl)
  const least = AIR_OXYGEN + LEAST_OF_RISE * (ideal - AIR_OXYGEN)
  const [low, high] = [Math.min(least, ideal), Math.max(least, ideal)]
  const show = (ml: number) => ml.toFixed(0)
  return {
    idealShare: ideal,
    volumes,
    ends: [low, high],
    share: {
      value: (low + high) / 2,
      unit: '1',
      spread: { low, high },
      steps: [
        `Of ${show(breath.tidalMl)} mL: ${show(volumes.cannulaMl)} mL oxygen by cannula, ${show(volumes.cupMl)} mL of the cup's gas with ${(100 * gas.oxygen).toFixed(0)} % oxygen, ${show(volumes.rebreathedMl)} mL breathed before, ${show(volumes.roomMl)} mL of room air.`,
        `Mixed ideally that is ${(100 * ideal).toFixed(0)} %; in the throat about half of such a rise was measured, so from ${(100 * low).toFixed(0)} to ${(100 * high).toFixed(0)} %.`,
      ],
      sources: [
        OXYGEN_SOURCES.MIXING,
        OXYGEN_SOURCES.SHAPIRO,
        OXYGEN_SOURCES.GEA_2010,
        OXYGEN_SOURCES.EXTRACTION,
      ],
      validity: 'Steady sine breathing, no leak, no high-flow device, cannula up to 6 L/min.',
      caution: 'A range, never one figure: steer by the saturation that is wanted.',
    },
  }
}

/** A cannula in square breathing, as the textbook reckons it. */
export type CannulaSetup = {
  readonly tidalMl: number
  readonly inS: number
  readonly outS: number
  readonly flowLPerMin: number
  readonly anatomicMl: number
  readonly airShare: number
}

/**
 * Share of oxygen with a cannula after SHAPIRO: reservoir + flow × Ti of oxygen, the rest air; and that oxygen [mL].
 * @throws OutsideValidity naming the field
 */
export function cannulaShare(setup: CannulaSetup): { readonly share: number; readonly oxygenMl: number } {
  requireWithin('tidalMl', setup.tidalMl, { low: 15, high: 1500, unit: 'mL' })
  requireWithin('inS', setup.inS, { low: 0.1, high: 10, unit: 's' })
  requireWithin('outS', setup.outS, { low: 0.1, high: 20, unit: 's' })
  requireWithin('flowLPerMin', setup.flowLPerMin, COVERED_OXYGEN.cannulaLPerMin)
  requireWithin('anatomicMl', setup.anatomicMl, COVERED_OXYGEN.anatomicMl)
  requireWithin('airShare', setup.airShare, { low: 0.2, high: 0.21, unit: '1' })
  const flow = (setup.flowLPerMin * 1000) / 60
  const oxygenMl = Math.min(
    setup.tidalMl,
    flow * setup.inS + Math.min(setup.anatomicMl, flow * PAUSE * setup.outS),
  )
  return { oxygenMl, share: (oxygenMl + (setup.tidalMl - oxygenMl) * setup.airShare) / setup.tidalMl }
}

/**
 * The rule of thumb: 20 % and 4 % for each L/min (CANNULA_RULE).
 * @throws OutsideValidity outside 1 to 6 L/min
 */
export function cannulaRuleOfThumb(flowLPerMin: number): number {
  requireWithin('flowLPerMin', flowLPerMin, { low: 1, high: 6, unit: 'L/min' })
  return 0.2 + 0.04 * flowLPerMin
}

/**
 * Parts of air to one of oxygen that give a share, and the total flow (ENTRAINMENT).
 * @throws OutsideValidity for a share outside 0.24 to 1, or a flow outside 1 to 15 L/min
 */
export function entrainment(
  share: number,
  oxygenLPerMin: number,
  airShare: number,
): { readonly airToOxygen: number; readonly totalLPerMin: number } {
  requireWithin('share', share, { low: 0.24, high: 1, unit: '1' })
  requireWithin('oxygenLPerMin', oxygenLPerMin, { low: 1, high: 15, unit: 'L/min' })
  requireWithin('airShare', airShare, { low: 0.2, high: 0.21, unit: '1' })
  const airToOxygen = (1 - share) / (share - airShare)
  return { airToOxygen, totalLPerMin: oxygenLPerMin * (1 + airToOxygen) }
}
