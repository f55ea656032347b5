import { BadInput, requirePositive, requireWithin } from '../worked.ts'
import type { Ends } from './cup-kinds.ts'
import table from './data/continuous.table.json' with { type: 'json' }

export type ContinuousCup = keyof typeof table.cups
export const CONTINUOUS_CUPS = Object.keys(table.cups) as readonly ContinuousCup[]

/** mg/h for an adult in severe acute asthma (PT_2016). */
export const ADULT_ORDER_MG_PER_H = {
  low: table.adultOrderMgPerH.low,
  high: table.adultOrderMgPerH.high,
} as const

export type ContinuousSetup = {
  /** A kind with a published output, or the output that was measured for the very cup. */
  readonly cup: { readonly kind: ContinuousCup } | { readonly outputMlPerH: number }
  readonly fillMl: number
  readonly concentrationMgPerMl: number
  /** What a pump adds; 0 without one. */
  readonly pumpMlPerH: number
  readonly capacityMl: number
  /** Volume at which the cup gives no more. */
  readonly emptyAtMl: number
  readonly hours: number
}

export type ContinuousForecast = {
  readonly outputMlPerH: Ends
  /** What is sent into mist and vapor, if the strength in the cup held [mg/h]. */
  readonly sentMgPerH: Ends
  /** What leaves in droplets, as vapor carries none [mg/h]; only a part of it is inhaled. */
  readonly dropletMgPerH: Ends
  /** Hours until the cup is empty; Infinity where the pump keeps up. */
  readonly hoursToEmpty: Ends
  /** Hours until the cup overflows; Infinity where it never does. */
  readonly hoursToOverflow: Ends
  readonly cautions: readonly string[]
}

/**
 * A cup that runs for hours: how long it lasts, and what it sends. Level: dV/dt = pump − output. Each figure at the
 * ends of the published output, or for the one that was measured.
 * @throws BadInput or OutsideValidity naming the field
 */
export function continuousForecast(setup: ContinuousSetup): ContinuousForecast {
  check(setup)
  const outputMlPerH = outputOf(setup.cup)
  const sentMgPerH = map(outputMlPerH, (output) => output * setup.concentrationMgPerMl)
  const { dropletShare } = table
  return {
    outputMlPerH,
    sentMgPerH,
    dropletMgPerH: {
      low: sentMgPerH.low * dropletShare.low,
      likely: sentMgPerH.likely * dropletShare.likely,
      high: sentMgPerH.high * dropletShare.high,
    },
    hoursToEmpty: inOrder(outputMlPerH, (output) =>
      hoursFor(setup.fillMl - setup.emptyAtMl, output - setup.pumpMlPerH),
    ),
    hoursToOverflow: inOrder(outputMlPerH, (output) =>
      hoursFor(setup.capacityMl - setup.fillMl, setup.pumpMlPerH - output),
    ),
    cautions: cautionsFor(setup, outputMlPerH),
  }
}

function hoursFor(ml: number, mlPerH: number): number {
  return mlPerH > 0 ? ml / mlPerH : Infinity
}

function map(ends: Ends, f: (value: number) => number): Ends {
  return { low: f(ends.low), likely: f(ends.likely), high: f(ends.high) }
}

/** Ends of something that may fall as the output rises. */
function inOrder(ends: Ends, f: (value: number) => number): Ends {
  const at = map(ends, f)
  return { low: Math.min(at.low, at.high), likely: at.likely, high: Math.max(at.low, at.high) }
}

/**
 * mL/h that a cup puts out: published for its kind (VOLUME_OUTPUT), or as measured.
 * @throws BadInput for a kind without a published output; OutsideValidity for a measured one that cannot be
 */
export function outputOf(cup: ContinuousSetup['cup']): Ends {
  if ('outputMlPerH' in cup) {
    requireWithin('cup.outputMlPerH', cup.outputMlPerH, { low: 1, high: 200, unit: 'mL/h' })
    return { low: cup.outputMlPerH, likely: cup.outputMlPerH, high: cup.outputMlPerH }
  }
  if (!Object.hasOwn(table.cups, cup.kind))
    throw new BadInput('cup.kind', cup.kind, CONTINUOUS_CUPS.join(', '))
  const { low, likely, high } = table.cups[cup.kind]
  return { low, likely, high }
}

function check(setup: ContinuousSetup): void {
  requireWithin('capacityMl', setup.capacityMl, { low: 5, high: 500, unit: 'mL' })
  requireWithin('emptyAtMl', setup.emptyAtMl, { low: 0, high: setup.capacityMl, unit: 'mL' })
  requireWithin('fillMl', setup.fillMl, { low: setup.emptyAtMl, high: setup.capacityMl, unit: 'mL' })
  requireWithin('pumpMlPerH', setup.pumpMlPerH, { low: 0, high: 100, unit: 'mL/h' })
  requirePositive('concentrationMgPerMl', setup.concentrationMgPerMl)
  requirePositive('hours', setup.hours)
}

function cautionsFor(setup: ContinuousSetup, output: Ends): string[] {
  const cautions: string[] = []
  if ('kind' in setup.cup) {
    const apart = Math.round(100 * (output.high / output.low - 1))
    cautions.push(`The output of this kind differs by ${apart} % from cup to cup: measure this one.`)
  }
  if (hoursFor(setup.fillMl - setup.emptyAtMl, output.high - setup.pumpMlPerH) < setup.hours) {
    cautions.push(`The cup may be empty before ${setup.hours} h are over.`)
  }
  if (hoursFor(setup.capacityMl - setup.fillMl, setup.pumpMlPerH - output.low) < setup.hours) {
    cautions.push(`The cup may overflow before ${setup.hours} h are over.`)
  }
  return cautions
}

export type ContinuousMix = { readonly drugMl: number; readonly diluentMl: number; readonly totalMl: number }

/**
 * What to mix for a dose rate: drug mL/h = dose rate ÷ stock, diluent = output − drug, times the hours.
 * @throws BadInput for numbers that are not above zero, or for a stock too weak to carry the dose in that output
 */
export function continuousMix(
  doseMgPerH: number,
  stockMgPerMl: number,
  outputMlPerH: number,
  hours: number,
): ContinuousMix {
  for (const [field, value] of Object.entries({ doseMgPerH, stockMgPerMl, outputMlPerH, hours })) {
    requirePositive(field, value)
  }
  const drugMlPerH = doseMgPerH / stockMgPerMl
  if (drugMlPerH > outputMlPerH) {
    throw new BadInput(
      'stockMgPerMl',
      stockMgPerMl,
      `at least ${doseMgPerH / outputMlPerH} mg/mL for this dose and output`,
    )
  }
  const totalMl = outputMlPerH * hours
  return { drugMl: drugMlPerH * hours, diluentMl: totalMl - drugMlPerH * hours, totalMl }
}
