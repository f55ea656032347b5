import { BadInput, type Worked } from '../../worked.ts'
import {
  above,
  type Exact,
  equals,
  exact,
  figure,
  minus,
  over,
  plus,
  positive,
  times,
  toNumber,
  zeroOrMore,
} from '../dose/exact.ts'
import { figured } from '../dose/figured.ts'
import { knownStrength, type Strength } from '../dose/strength.ts'
import { SOURCES } from '../sources.ts'

/** What the nebulizer puts out in an hour at the gas flow in use: measured or stated for that device. */
export type CupOutput = {
  readonly likelyMlPerH: number
  readonly lowMlPerH?: number
  readonly highMlPerH?: number
}

export type ContinuousOrder = {
  readonly mgPerH: number
  readonly stock: Strength
  readonly output: CupOutput
  readonly hours: number
  /** What stays in cup and tubing and never becomes mist; made up at the same concentration. */
  readonly deadVolumeMl?: number
}

/** A continuous treatment, mixed. */
export type ContinuousMix = {
  readonly concentration: Worked<'mg/mL'>
  readonly drugPerHour: Worked<'mL/h'>
  readonly diluentPerHour: Worked<'mL/h'>
  readonly drugMass: Worked<'mg'>
  readonly drug: Worked<'mL'>
  readonly diluent: Worked<'mL'>
  readonly total: Worked<'mL'>
  /** Speed at which a pump keeps a small cup level. */
  readonly pump: Worked<'mL/h'>
  /** Drug that leaves the cup in an hour, with the range that the output's own range gives. */
  readonly leavesCup: Worked<'mg/h'>
}

const BASIS = [SOURCES.definition]
const INHALED = [SOURCES.definition, SOURCES.MCPECK1997, SOURCES.BERLINSKI1998]
const REACHES_MOUTH =
  'what reaches the mouth is a part of this: about 0.09 to 0.5 of the ordered rate in published runs'

/**
 * How much drug and diluent make up a continuous treatment, at which concentration, and how fast it runs.
 * @throws BadInput when a figure cannot be used, when low, likely and high output are out of order, or when the
 * stock is too weak to carry the dose in what the cup puts out
 */
export function continuousMix(order: ContinuousOrder): ContinuousMix {
  const rate = positive('dose rate', order.mgPerH, 'mg/h')
  const stock = knownStrength(order.stock)
  const output = readOutput(order.output)
  const hours = positive('hours', order.hours, 'h')
  const dead = zeroOrMore('dead volume', order.deadVolumeMl ?? 0, 'mL')

  const perHour = hourly(rate, stock.mgPerMl, output.likely)
  const concentration = over(rate, output.likely)
  const total = plus(times(output.likely, hours), dead)
  const mass = times(concentration, total)
  const drug = over(mass, stock.mgPerMl)
  const diluent = minus(total, drug)

  const weak = `${figure(rate)} mg/h ÷ ${figure(output.likely)} mL/h ${equals(concentration)} mg/mL in the reservoir`
  const made = totalStep(output.likely, hours, dead, total)
  const holds = `${figure(concentration)} mg/mL × ${figure(total)} mL ${equals(mass)} mg of drug`
  const drawn = `${figure(mass)} mg ÷ ${stock.shown} ${equals(drug)} mL of drug`
  const rest = `${figure(total)} mL − ${figure(drug)} mL ${equals(diluent)} mL of diluent`
  return {
    concentration: figured(concentration, 'mg/mL', [weak], BASIS),
    ...perHour,
    drugMass: figured(mass, 'mg', [weak, made, holds], BASIS),
    drug: figured(drug, 'mL', [weak, made, holds, stock.step, drawn], BASIS),
    diluent: figured(diluent, 'mL', [made, drawn, rest], BASIS),
    total: figured(total, 'mL', [made], BASIS),
    pump: figured(
      output.likely,
      'mL/h',
      [`pump at the cup's own output, ${figure(output.likely)} mL/h`],
      BASIS,
    ),
    leavesCup: leavesCup(concentration, output),
  }
}

/**
 * The concentration that turns a cup's output into an hourly dose [mg/mL].
 * @throws BadInput when a figure cannot be used
 */
export function concentrationToLoad(mgPerH: number, outputMlPerH: number): Worked<'mg/mL'> {
  const rate = positive('dose rate', mgPerH, 'mg/h')
  const output = positive('cup output', outputMlPerH, 'mL/h')
  const concentration = over(rate, output)
  const step = `${figure(rate)} mg/h ÷ ${figure(output)} mL/h ${equals(concentration)} mg/mL`
  return figured(concentration, 'mg/mL', [step], BASIS)
}

type Output = { readonly low: Exact; readonly likely: Exact; readonly high: Exact }

function readOutput({ likelyMlPerH, lowMlPerH, highMlPerH }: CupOutput): Output {
  const likely = positive('cup output', likelyMlPerH, 'mL/h')
  const low = positive('lowest cup output', lowMlPerH ?? likelyMlPerH, 'mL/h')
  const high = positive('highest cup output', highMlPerH ?? likelyMlPerH, 'mL/h')
  if (above(low, likely) || above(likely, high)) {
    throw new BadInput(
      'cup output',
      `${figure(low)} to ${figure(high)} around ${figure(likely)} mL/h`,
      'lowest, likely and highest in rising order',
    )
  }
  return { low, likely, high }
}

function hourly(rate: Exact, stock: Exact, output: Exact) {
  const drug = over(rate, stock)
  if (above(drug, output)) {
    throw new BadInput(
      'stock strength',
      `${figure(stock)} mg/mL`,
      `at least ${figure(over(rate, output))} mg/mL: the cup puts out ${figure(output)} mL/h and the dose alone would be ${figure(drug)} mL/h`,
    )
  }
  const diluent = minus(output, drug)
  const drugStep = `${figure(rate)} mg/h ÷ ${figure(stock)} mg/mL ${equals(drug)} mL/h of drug`
  const diluentStep = `${figure(output)} mL/h − ${figure(drug)} mL/h ${equals(diluent)} mL/h of diluent`
  return {
    drugPerHour: figured(drug, 'mL/h', [drugStep], BASIS),
    diluentPerHour: figured(diluent, 'mL/h', [drugStep, diluentStep], BASIS),
  }
}

function totalStep(output: Exact, hours: Exact, dead: Exact, total: Exact): string {
  const runs = `${figure(output)} mL/h × ${figure(hours)} h`
  return `${dead.top === 0n ? runs : `${runs} + ${figure(dead)} mL that stays behind`} ${equals(total)} mL in all`
}

function leavesCup(concentration: Exact, { low, likely, high }: Output): Worked<'mg/h'> {
  const at = (output: Exact) => times(concentration, output)
  const step = `${figure(concentration)} mg/mL × ${figure(low)} to ${figure(high)} mL/h ${equals(at(low))} to ${figure(at(high))} mg/h`
  return {
    ...figured(at(likely), 'mg/h', [step], INHALED, REACHES_MOUTH),
    spread: { low: toNumber(at(low)), high: toNumber(at(high)) },
  }
}

/**
 * How long a bag or syringe lasts at a running speed [h].
 * @throws BadInput when a figure cannot be used
 */
export function hoursOf(volumeMl: number, speedMlPerH: number): Worked<'h'> {
  const volume = positive('volume', volumeMl, 'mL')
  const speed = positive('running speed', speedMlPerH, 'mL/h')
  const hours = over(volume, speed)
  return figured(hours, 'h', [`${figure(volume)} mL ÷ ${figure(speed)} mL/h ${equals(hours)} h`], BASIS)
}

/**
 * How many fills of a bag or syringe a mix needs, each with the same drug and diluent.
 * @throws BadInput when a figure cannot be used
 */
export function fillsOf(
  mix: Pick<ContinuousMix, 'drug' | 'diluent' | 'total'>,
  containerMl: number,
): { readonly fills: Worked<'1'>; readonly drugEach: Worked<'mL'>; readonly diluentEach: Worked<'mL'> } {
  const container = positive('container', containerMl, 'mL')
  const total = positive('total', mix.total.value, 'mL')
  const { top, bottom } = over(total, container)
  const fills: Exact = { top: (top + bottom - 1n) / bottom, bottom: 1n } // rounded up
  const step = `${figure(total)} mL ÷ ${figure(container)} mL → ${figure(fills)} fills`
  const share = (of: Worked<'mL'>, name: string) => {
    const each = over(exact(of.value), fills)
    const shared = `${figure(exact(of.value))} mL ÷ ${figure(fills)} ${equals(each)} mL of ${name} in each`
    return figured(each, 'mL', [step, shared], BASIS)
  }
  return {
    fills: figured(fills, '1', [step], BASIS),
    drugEach: share(mix.drug, 'drug'),
    diluentEach: share(mix.diluent, 'diluent'),
  }
}
