import { GASES, type GasKind } from '../aerosol/index.ts'
import { BadInput, requireWithin, type Worked } from '../worked.ts'
import { OXYGEN_SOURCES } from './sources.ts'

export const HELIOX_MIXES = ['80/20', '70/30', '60/40'] as const
export type HelioxMix = (typeof HELIOX_MIXES)[number]

/** Helium / oxygen, what truly flows for each L/min that an oxygen meter shows (HELIOX_FACTORS). */
const FACTORS: Readonly<Record<HelioxMix, number>> = { '80/20': 1.8, '70/30': 1.6, '60/40': 1.4 }

/**
 * @throws BadInput for a mixture that is not listed
 */
export function helioxFactor(mix: string): { readonly told: number; readonly byDensity: number } {
  const told = Object.hasOwn(FACTORS, mix) ? FACTORS[mix as HelioxMix] : undefined
  if (told === undefined) throw new BadInput('mix', mix, HELIOX_MIXES.join(', '))
  const gas = GASES[`heliox ${mix}` as GasKind]
  return { told, byDensity: Math.sqrt(GASES.oxygen.molarMassG / gas.molarMassG) }
}

const FLOW = { low: 0.1, high: 30, unit: 'L/min' } as const

const CAUTION =
  'Oxygen is fixed by the mixture; oxygen by cannula thins the helium. Read the label: the order of the two gases differs.'

/**
 * What truly flows when an oxygen meter carries a helium mixture.
 * @throws BadInput or OutsideValidity
 */
export function helioxActualFlow(mix: string, readingLPerMin: number): Worked<'L/min'> {
  requireWithin('readingLPerMin', readingLPerMin, FLOW)
  return helioxWorked(mix, readingLPerMin, (factor) => readingLPerMin * factor, '×')
}

/**
 * What an oxygen meter must show for a wanted flow of a helium mixture.
 * @throws BadInput or OutsideValidity
 */
export function helioxReading(mix: string, wantedLPerMin: number): Worked<'L/min'> {
  requireWithin('wantedLPerMin', wantedLPerMin, FLOW)
  return helioxWorked(mix, wantedLPerMin, (factor) => wantedLPerMin / factor, '÷')
}

function helioxWorked(
  mix: string,
  from: number,
  to: (factor: number) => number,
  sign: string,
): Worked<'L/min'> {
  const { told, byDensity } = helioxFactor(mix)
  const ends = [to(told), to(byDensity)]
  const { HELIOX_FACTORS, HELIOX_DENSITY, HELIOX_REGULATORS } = OXYGEN_SOURCES
  return {
    value: to(told),
    unit: 'L/min',
    spread: { low: Math.min(...ends), high: Math.max(...ends) },
    steps: [
      `${from} L/min ${sign} ${told} for ${mix} = ${to(told).toFixed(1)} L/min.`,
      `By density the factor is ${byDensity.toFixed(2)}.`,
    ],
    sources: [HELIOX_FACTORS, HELIOX_DENSITY, HELIOX_REGULATORS],
    validity: 'A flow meter made for oxygen, with the mixture named helium first.',
    caution: CAUTION,
  }
}
