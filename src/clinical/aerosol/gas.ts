import { BadInput } from '../worked.ts'

export const GAS_KINDS = ['air', 'oxygen', 'heliox 80/20', 'heliox 70/30', 'heliox 60/40'] as const
export type GasKind = (typeof GAS_KINDS)[number]

/** What a dry driving gas is made of and how it carries heat. */
export type Gas = {
  readonly kind: GasKind
  /** Oxygen, as a share of volume. */
  readonly oxygen: number
  readonly molarMassG: number
  /** Molar heat capacity at constant pressure [J/mol/K]. */
  readonly heatJPerMolK: number
}

const OXYGEN = { molarMassG: 31.998, heatJPerMolK: 29.4 }
const HELIUM = { molarMassG: 4.003, heatJPerMolK: 20.79 }
const AIR = { molarMassG: 28.965, heatJPerMolK: 29.15 }
export const AIR_OXYGEN = 0.2095

const R_J_PER_MOL_K = 8.314462618
const STANDARD_PA = 101_325
/** Flow meters are read at 20 Cel and 1 atm. */
const METER_K = 293.15

/** Properties from memory (GAS_PROPERTIES); helium mixtures are weighted by mole. */
export const GASES: Readonly<Record<GasKind, Gas>> = {
  air: { kind: 'air', oxygen: AIR_OXYGEN, ...AIR },
  oxygen: { kind: 'oxygen', oxygen: 1, ...OXYGEN },
  'heliox 80/20': heliox('heliox 80/20', 0.2),
  'heliox 70/30': heliox('heliox 70/30', 0.3),
  'heliox 60/40': heliox('heliox 60/40', 0.4),
}

function heliox(kind: GasKind, oxygen: number): Gas {
  const mixed = (a: number, b: number) => oxygen * a + (1 - oxygen) * b
  return {
    kind,
    oxygen,
    molarMassG: mixed(OXYGEN.molarMassG, HELIUM.molarMassG),
    heatJPerMolK: mixed(OXYGEN.heatJPerMolK, HELIUM.heatJPerMolK),
  }
}

/**
 * @throws BadInput for a gas that is not listed
 */
export function gasOf(kind: string): Gas {
  const gas = Object.hasOwn(GASES, kind) ? GASES[kind as GasKind] : undefined
  if (!gas) throw new BadInput('gas', kind, GAS_KINDS.join(', '))
  return gas
}

/** Dry gas through the cup [mol/s], from the flow that the meter shows (at 20 Cel, 1 atm). */
export function molesPerSecond(flowLPerMin: number): number {
  return (STANDARD_PA * (flowLPerMin / 60_000)) / (R_J_PER_MOL_K * METER_K)
}

/**
 * The flow of air that would tear as much mist as this flow of a lighter gas, taken at equal momentum of the jet:
 * flow × √(molar mass ÷ molar mass of air). 1 ÷ 1.8 for 80/20, inside the 1 ÷ 1.5 to 1 ÷ 2 usually told (from memory).
 */
export function airLikeFlow(gas: Gas, flowLPerMin: number): number {
  return gas.kind.startsWith('heliox')
    ? flowLPerMin * Math.sqrt(gas.molarMassG / AIR.molarMassG)
    : flowLPerMin
}

/**
 * By how much the droplet rate may differ from that of airLikeFlow: 1 for air and oxygen; for helium mixtures as far as
 * 1.5 and 2 lie from 1.8 (from memory; OCALLAGHAN_2007 gives the direction).
 */
export function helioxEnds(gas: Gas): { readonly low: number; readonly high: number } {
  return gas.kind.startsWith('heliox') ? { low: 1.8 / 2, high: 1.8 / 1.5 } : { low: 1, high: 1 }
}
