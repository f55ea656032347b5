import { BadInput, requireWithin, type Source, type Worked } from '../worked.ts'
import table from './data/cylinders.table.json' with { type: 'json' }
import { OXYGEN_SOURCES } from './sources.ts'

export type UsSize = keyof typeof table.us
export const US_SIZES = Object.keys(table.us) as readonly UsSize[]
/** Water capacities on which metric cylinders are usually offered [L]; any from 0.5 to 60 L is worked out. */
export const METRIC_WATER_L: readonly number[] = table.metricWaterL

/** A cylinder and its gauge. `kept` is what stays in it, for the way and for surprises: 200 psi or 14 bar as a rule. */
export type Cylinder =
  | { readonly size: UsSize; readonly psi: number; readonly keptPsi: number }
  | { readonly waterL: number; readonly bar: number; readonly keptBar: number }

export const KEPT_PSI = 200
/** 200 psi in bar, rounded up. */
export const KEPT_BAR = 14
const BAR_PER_ATM = 1.01325

const COVERED = {
  psi: { low: 0, high: 3000, unit: 'psi' },
  bar: { low: 0, high: 300, unit: 'bar' },
  waterL: { low: 0.5, high: 60, unit: 'L' },
  flowLPerMin: { low: 0.1, high: 60, unit: 'L/min' },
} as const

/** Gas that may be used, with the step that gave it. */
type Usable = { readonly liters: number; readonly step: string; readonly sources: readonly Source[] }

function usable(cylinder: Cylinder): Usable {
  if ('waterL' in cylinder) return usableMetric(cylinder.waterL, cylinder.bar, cylinder.keptBar)
  const { size, psi, keptPsi } = cylinder
  if (!Object.hasOwn(table.us, size)) throw new BadInput('size', size, US_SIZES.join(', '))
  requireWithin('psi', psi, COVERED.psi)
  requireWithin('keptPsi', keptPsi, COVERED.psi)
  const { litersPerPsi } = table.us[size]
  const above = Math.max(0, psi - keptPsi) // none to use below what is kept
  const source = size === 'G' ? OXYGEN_SOURCES.CYLINDER_G : OXYGEN_SOURCES.CYLINDER_GUIDANCE
  return {
    liters: above * litersPerPsi,
    step: `${size}: (${psi} − ${keptPsi} kept) psi × ${litersPerPsi} L/psi = ${(above * litersPerPsi).toFixed(0)} L.`,
    sources: [source, OXYGEN_SOURCES.CYLINDER_NAGELHOUT],
  }
}

function usableMetric(waterL: number, bar: number, keptBar: number): Usable {
  requireWithin('waterL', waterL, COVERED.waterL)
  requireWithin('bar', bar, COVERED.bar)
  requireWithin('keptBar', keptBar, COVERED.bar)
  const above = Math.max(0, bar - keptBar)
  const liters = (waterL * above) / BAR_PER_ATM
  return {
    liters,
    step: `${waterL} L of water: (${bar} − ${keptBar} kept) bar × ${waterL} L ÷ 1.013 bar = ${liters.toFixed(0)} L.`,
    sources: [OXYGEN_SOURCES.BOYLE, OXYGEN_SOURCES.METRIC_SIZES],
  }
}

/**
 * Minutes that a cylinder lasts at a flow, above what is kept; 0 when the gauge is at or below it.
 * @throws BadInput or OutsideValidity naming field, value and what is allowed
 */
export function cylinderMinutes(cylinder: Cylinder, flowLPerMin: number): Worked<'min'> {
  requireWithin('flowLPerMin', flowLPerMin, COVERED.flowLPerMin)
  const { liters, step, sources } = usable(cylinder)
  const minutes = liters / flowLPerMin
  return {
    value: minutes,
    unit: 'min',
    steps: [step, `${liters.toFixed(0)} L ÷ ${flowLPerMin} L/min = ${minutes.toFixed(0)} min.`],
    sources,
    validity: 'Oxygen, air and helium mixtures up to 3000 psi or 300 bar, at room temperature.',
    ...(liters === 0 && {
      caution: 'The gauge is at or below what is to be kept: change the cylinder first.',
    }),
  }
}

export type AfterRun = {
  /** Above what is kept; below zero when the run asks for more than there is. */
  readonly litersOver: number
  readonly minutesOver: number
  readonly lastsTheRun: boolean
  /** The minutes that it lasts in all, with their working. */
  readonly lasts: Worked<'min'>
}

/**
 * What a run of so many minutes leaves in the cylinder.
 * @throws BadInput or OutsideValidity
 */
export function afterRun(cylinder: Cylinder, flowLPerMin: number, runMin: number): AfterRun {
  requireWithin('runMin', runMin, { low: 0, high: 1440, unit: 'min' })
  const lasts = cylinderMinutes(cylinder, flowLPerMin)
  const minutesOver = lasts.value - runMin
  return { minutesOver, litersOver: minutesOver * flowLPerMin, lastsTheRun: minutesOver >= 0, lasts }
}
