import { BadInput, requireWithin } from '../worked.ts'
import { type Breath, type BreathPattern, breathOf } from './breath.ts'
import type { Calibration } from './calibrate.ts'
import type { CupConditions } from './cup.ts'
import { CAPACITY_ML, COVERED_JET_FLOW, forecastableKind } from './cup-kinds.ts'
import { type Droplets, requireDroplets } from './droplets.ts'
import { type GasKind, gasOf } from './gas.ts'
import { type Interface, interfaceShare } from './interface.ts'
import { ADULT_AIRWAYS, type Airways, childAirways, ROUTES, type Route } from './lung.ts'
import { COVERED_PA } from './psychrometrics.ts'

/** Everything that a forecast needs to know about one treatment. */
export type Setup = {
  readonly cup: {
    readonly kind: string
    /** What this hospital's runs say about the model of cup, from `calibrate`. */
    readonly calibration?: Calibration | undefined
    readonly capacityMl?: number | undefined
    /** Droplets as measured for this cup at this flow; without them the usual ends are run. */
    readonly droplets?: Droplets | undefined
  }
  readonly medicine: { readonly doseMg: number; readonly form: 'solution' | 'suspension' }
  readonly fillMl: number
  readonly gas: {
    readonly kind: GasKind
    /** What truly flows: for heliox the corrected flow, not the reading of an oxygen meter. */
    readonly flowLPerMin: number
    /** 0 from a pipeline or cylinder; that of the room from a compressor. */
    readonly relativeHumidity: number
  }
  readonly room: { readonly temperatureCel: number; readonly pressurePa: number }
  readonly breath: BreathPattern
  readonly breathesBy: Route
  readonly body: { readonly kind: 'adult' } | { readonly kind: 'child'; readonly weightKg: number }
  readonly lungs: 'healthy' | 'obstructed'
  readonly interface: Interface
  readonly reservoirMl: number
  /** The run is ended at this minute if it still runs. */
  readonly stopAfterMin?: number | undefined
}

/** What each number of a set-up may be. */
export const COVERED_SETUP = {
  fillMl: { low: 1, high: CAPACITY_ML.jet, unit: 'mL' },
  flowLPerMin: COVERED_JET_FLOW,
  /** Far beyond any dose to either side: what is not an amount of medicine at all is refused. */
  doseMg: { low: 1e-6, high: 1e6, unit: 'mg' },
  relativeHumidity: { low: 0, high: 0.9, unit: '1' },
  temperatureCel: { low: 10, high: 30, unit: 'Cel' },
  reservoirMl: { low: 0, high: 500, unit: 'mL' },
  stopAfterMin: { low: 0.1, high: 600, unit: 'min' },
  capacityMl: { low: 2, high: 20, unit: 'mL' },
} as const

/** A set-up that has been checked, with what follows from it at once. */
export type CheckedSetup = {
  readonly setup: Setup
  readonly kind: 'jet' | 'mesh'
  readonly conditions: CupConditions
  readonly breath: Breath
  readonly airways: Airways
}

/**
 * Refuses what cannot be forecast, and prepares the rest.
 * @throws BadInput, OutsideValidity or NoPublishedData naming field, value and what is allowed
 */
export function checkSetup(setup: Setup): CheckedSetup {
  const kind = forecastableKind(setup.cup.kind)
  checkCup(setup, kind)
  checkSurroundings(setup)
  interfaceShare(setup.interface)
  checkPatient(setup)
  const { body } = setup
  return {
    setup,
    kind,
    conditions: {
      fillMl: setup.fillMl,
      gas: gasOf(setup.gas.kind),
      flowLPerMin: setup.gas.flowLPerMin,
      relativeHumidity: setup.gas.relativeHumidity,
      roomCel: setup.room.temperatureCel,
      pressurePa: setup.room.pressurePa,
      stopAfterMin: setup.stopAfterMin,
    },
    breath: breathOf(setup.breath),
    airways: body.kind === 'adult' ? ADULT_AIRWAYS : childAirways(body.weightKg),
  }
}

function checkCup({ cup, fillMl, medicine, stopAfterMin }: Setup, kind: 'jet' | 'mesh'): void {
  const capacityMl = cup.capacityMl ?? CAPACITY_ML[kind]
  requireWithin('cup.capacityMl', capacityMl, COVERED_SETUP.capacityMl)
  requireWithin('fillMl', fillMl, { ...COVERED_SETUP.fillMl, high: capacityMl })
  requireWithin('medicine.doseMg', medicine.doseMg, COVERED_SETUP.doseMg)
  requireOneOf('medicine.form', medicine.form, ['solution', 'suspension'])
  if (cup.droplets) requireDroplets(cup.droplets)
  if (stopAfterMin !== undefined) requireWithin('stopAfterMin', stopAfterMin, COVERED_SETUP.stopAfterMin)
}

function checkSurroundings({ gas, room, reservoirMl }: Setup): void {
  gasOf(gas.kind)
  requireWithin('gas.flowLPerMin', gas.flowLPerMin, COVERED_SETUP.flowLPerMin)
  requireWithin('gas.relativeHumidity', gas.relativeHumidity, COVERED_SETUP.relativeHumidity)
  requireWithin('room.temperatureCel', room.temperatureCel, COVERED_SETUP.temperatureCel)
  requireWithin('room.pressurePa', room.pressurePa, COVERED_PA)
  requireWithin('reservoirMl', reservoirMl, COVERED_SETUP.reservoirMl)
}

function checkPatient({ breathesBy, body, lungs, interface: used }: Setup): void {
  requireOneOf('breathesBy', breathesBy, ROUTES)
  requireOneOf('body.kind', body.kind, ['adult', 'child'])
  requireOneOf('lungs', lungs, ['healthy', 'obstructed'])
  if (used.kind === 'mouthpiece' && breathesBy === 'nose') {
    throw new BadInput('breathesBy', breathesBy, 'mouth, with a mouthpiece')
  }
}

function requireOneOf(field: string, given: string, allowed: readonly string[]): void {
  if (!allowed.includes(given)) throw new BadInput(field, given, allowed.join(', '))
}
