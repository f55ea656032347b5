import type { Source, Worked } from '../worked.ts'
import { dropletGPerS } from './cup.ts'
import type { Ends } from './cup-kinds.ts'
import { likelyCup } from './cup-scenarios.ts'
import { FIGURES, type FigureName } from './figures.ts'
import type { Forecast } from './forecast.ts'
import { dropletEnds, lungBreathOf } from './forecast-lung.ts'
import { molesPerSecond } from './gas.ts'
import { interfaceShare } from './interface.ts'
import { inhaledShare } from './reservoir.ts'
import { type CheckedSetup, checkSetup, type Setup } from './setup.ts'
import { AEROSOL_SOURCES, type AerosolSourceKey } from './sources.ts'

/** Every known figure of a forecast with its working; those that are not known are left out. */
export type ExplainedForecast = { readonly [Name in FigureName]?: Worked }

type Account = {
  readonly steps: readonly string[]
  readonly sources: readonly AerosolSourceKey[]
  readonly validity: string
}

/**
 * How each figure of a forecast came about: steps with their numbers, sources, ends, what it covers. Kept apart from
 * `forecast`, which is asked many times a second while a set-up is being chosen.
 * @throws what `forecast` throws for the same set-up
 */
export function explainForecast(setup: Setup, made: Forecast): ExplainedForecast {
  const checked = checkSetup(setup)
  const accounts = accountsOf(checked, made)
  const caution = made.cautions.join(' ')
  const explained: { [Name in FigureName]?: Worked } = {}
  for (const name of Object.keys(FIGURES) as FigureName[]) {
    const ends = made.figures[name]
    if (!ends) continue
    const account = accounts(name)
    explained[name] = {
      value: ends.likely,
      unit: FIGURES[name].unit,
      steps: [...account.steps, rangeStep(ends, FIGURES[name].unit)],
      sources: account.sources.map((key): Source => AEROSOL_SOURCES[key]),
      spread: { low: ends.low, high: ends.high },
      validity: account.validity,
      ...(caution !== '' && { caution }),
    }
  }
  return explained
}

function rangeStep({ low, likely, high }: Ends, unit: string): string {
  return `Run again at every end of what is known: ${show(low)} to ${show(high)} ${unit}, likely ${show(likely)}.`
}

function show(value: number): string {
  return value === 0 ? '0' : String(Number(value.toPrecision(3)))
}

const JET_VALIDITY =
  'Jet cups and watery solutions, 4 to 12 L/min, 10 to 30 Cel, without tapping; droplets shrinking in dry room air are not modeled.'
const MESH_VALIDITY = 'Mesh cups with watery solutions: what stays behind, and nothing else.'
const BREATH_VALIDITY = 'Steady sine breathing and steady output; no leak but that of the interface.'
const LUNG_VALIDITY =
  'Healthy adults; droplets keep their size; single persons differ by a factor of two and more.'

function accountsOf(checked: CheckedSetup, made: Forecast): (name: FigureName) => Account {
  const of = (name: FigureName) => made.figures[name]?.likely ?? Number.NaN
  return (name) => {
    switch (name) {
      case 'inhaledShare':
        return shareAccount(checked)
      case 'inhaledMg':
        return breath(
          `${show(of('leavesCupMg'))} mg leave the cup × ${show(of('inhaledShare'))} = ${show(of(name))} mg.`,
        )
      case 'lostToRoomMg':
        return breath(
          `${show(of('leavesCupMg'))} mg leave the cup − ${show(of('inhaledMg'))} mg inhaled = ${show(of(name))} mg.`,
        )
      case 'fineParticleMg':
      case 'noseMg':
      case 'mouthThroatMg':
      case 'bronchiMg':
      case 'bronchiolesMg':
      case 'alveoliMg':
      case 'exhaledMg':
      case 'lungMg':
        return lungAccount(checked, of('inhaledMg'), of(name))
      case 'lungPercent':
        return lungPercentAccount(checked, of('lungMg'), of(name))
      default:
        return checked.kind === 'mesh' ? meshAccount(checked) : cupAccount(checked, made, name)
    }
  }
}

function breath(step: string): Account {
  return { steps: [step], sources: ['BALANCE', 'COLLIS_1990', 'USUAL_FIGURES'], validity: BREATH_VALIDITY }
}

function meshAccount({ setup }: CheckedSetup): Account {
  return {
    steps: [
      `Of ${show(setup.fillMl)} mL, 0 to 0.2 mL stay behind at the strength of the start: a mesh hardly concentrates.`,
    ],
    sources: ['KLEINSTREUER_2014'],
    validity: MESH_VALIDITY,
  }
}

function cupAccount(checked: CheckedSetup, made: Forecast, name: FigureName): Account {
  const { setup, conditions } = checked
  const cup = likelyCup(checked)
  const of = (figure: FigureName) => made.figures[figure]?.likely ?? Number.NaN
  const droplets = 60 * dropletGPerS(cup, conditions.gas, conditions.flowLPerMin)
  const minutes = of('minutesToEnd')
  const known = made.runsHere > 0 ? `from ${made.runsHere} runs charted here` : 'from published cups'
  const steps = [
    `Droplets leave at ${show(droplets)} g/min at ${show(setup.gas.flowLPerMin)} L/min (${known}); vapor saturates the driving gas, ${show(60 * molesPerSecond(setup.gas.flowLPerMin))} mol/min.`,
    `Vapor takes heat, gas and room give it back: the medicine cools from ${show(setup.room.temperatureCel)} to ${show(of('coolestCel'))} Cel.`,
    `In ${show(minutes)} min ${show(of('dropletG'))} g leave as droplets and ${show(of('vaporG'))} g as vapor, which carries no medicine; ${show(of('leftMl'))} mL stay.`,
    ...cupEnd(checked, made, name),
  ]
  return {
    steps,
    sources: [
      'BALANCE',
      'SONNTAG_1990',
      'WATER_PROPERTIES',
      'GAS_PROPERTIES',
      'USUAL_FIGURES',
      'MALONE_1993',
      ...(made.runsHere > 0 ? (['CALIBRATION'] as const) : []),
      ...(conditions.gas.kind.startsWith('heliox') ? (['OCALLAGHAN_2007'] as const) : []),
    ],
    validity: JET_VALIDITY,
  }
}

/** The last step, where it differs from figure to figure. */
function cupEnd({ setup }: CheckedSetup, made: Forecast, name: FigureName): string[] {
  const of = (figure: FigureName) => made.figures[figure]?.likely ?? Number.NaN
  const { doseMg } = setup.medicine
  switch (name) {
    case 'leavesCupMg':
      return [
        `${show(doseMg)} mg in − ${show(of('leftInCupMg'))} mg left = ${show(of(name))} mg: less than weighing the cup would say.`,
      ]
    case 'leftInCupMg':
    case 'concentrationRatio':
      return [
        `What is left is ${show(of('concentrationRatio'))} times as strong as at the start: ${show(of('leftInCupMg'))} mg.`,
      ]
    case 'gasUsedL':
      return [`${show(setup.gas.flowLPerMin)} L/min × ${show(of('minutesToEnd'))} min = ${show(of(name))} L.`]
    case 'minutesToSputter':
      return [`The first sputter comes after ${show(of(name))} min; hardly any medicine leaves after it.`]
    default:
      return []
  }
}

function shareAccount(checked: CheckedSetup): Account {
  const { setup, breath: b } = checked
  const flow = (setup.gas.flowLPerMin * 1000) / 60
  const breathed = inhaledShare(b, flow, setup.reservoirMl)
  const used = interfaceShare(setup.interface)
  const share = used.known ? used.share : null
  return {
    steps: [
      `The cup gives ${show(flow)} mL/s all the time; the breath takes ${show(b.tidalMl)} mL in ${show(b.inS)} of ${show(b.totalS)} s, at most ${show(b.peakMlPerS)} mL/s.`,
      `With a tube of ${show(setup.reservoirMl)} mL it takes ${show(breathed.low)} of the output if the tube mixes, ${show(breathed.high)} if gas moves as a plug; half way: ${show(breathed.likely)}.`,
      `The interface passes ${share ? `${show(share.low)} to ${show(share.high)}, likely ${show(share.likely)}` : 'an unknown share'}.`,
    ],
    sources: ['BALANCE', 'COLLIS_1990', 'HATLEY_2017', ...(used.known ? used.sources : [])],
    validity: BREATH_VALIDITY,
  }
}

function lungAccount(checked: CheckedSetup, inhaledMg: number, mg: number): Account {
  const { likely } = dropletEnds(checked)
  const { route, tidalMl, flowMlPerS } = lungBreathOf(checked)
  return {
    steps: [
      `Half of the mass is in droplets below ${show(likely.mmadUm)} um, spread ${show(likely.gsd)}.`,
      `Breathing ${show(tidalMl)} mL in by ${route} at ${show(flowMlPerS)} mL/s, the filters of the lung are averaged over all sizes.`,
      `${show(inhaledMg)} mg inhaled × ${show(mg / inhaledMg)} = ${show(mg)} mg.`,
    ],
    sources: ['ICRP_66', 'HATCH_CHOATE', 'CLAY_THORAX_1983', 'USUAL_FIGURES'],
    validity: LUNG_VALIDITY,
  }
}

function lungPercentAccount(checked: CheckedSetup, lungMg: number, percent: number): Account {
  const { doseMg } = checked.setup.medicine
  const account = lungAccount(checked, Number.NaN, lungMg)
  return {
    ...account,
    steps: [`${show(lungMg)} mg below the throat ÷ ${show(doseMg)} mg = ${show(percent)} %.`],
  }
}
