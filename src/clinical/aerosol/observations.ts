import { BREATHING_PATTERNS, type BreathPattern, breathOf, shareWithoutTube, suppliedMl } from './breath.ts'
import { type CupRun, runCup } from './cup.ts'
import { JET } from './cup-kinds.ts'
import { sizeByFlow } from './droplets.ts'
import type { FigureName } from './figures.ts'
import { forecast } from './forecast.ts'
import { shareHeldOff } from './interface.ts'
import { lungShare, regionalDeposition } from './lung.ts'
import { checkSetup, type Setup } from './setup.ts'
import { type SetupFields, setupOf } from './setup-fields.ts'
import type { AerosolSourceKey } from './sources.ts'
import { gsdOfWorkplace, REGIONS, workerDeposition } from './worker.ts'

/** A published figure beside that of the one default set. */
export type Observation = {
  readonly what: string
  readonly source: AerosolSourceKey
  readonly published: { readonly low: number; readonly high: number }
  /** Likely; and the ends, where the published figure is asked to lie between them. */
  readonly ours: { readonly likely: number; readonly low?: number; readonly high?: number }
  readonly unit: string
}

/** Whether ours lies inside what was published, or what was published inside our ends. */
export function isInside({ published, ours }: Observation): boolean {
  if (ours.low !== undefined && ours.high !== undefined) {
    return ours.low <= published.low && published.high <= ours.high
  }
  return published.low <= ours.likely && ours.likely <= published.high
}

const run = (fields: SetupFields): CupRun => runCup(JET, checkSetup(setupOf(fields)).conditions)
const cooling = (fields: SetupFields) => 22 - run(fields).coolestCel
const massOut = (fill_mL: number) => 1 - run({ fill_mL, Q_Lmin: 6 }).leftG / fill_mL
const drugOut = (fill_mL: number) => 1 - run({ fill_mL, Q_Lmin: 6 }).drugLeft
const minutes = (Q_Lmin: number) => run({ fill_mL: 4, Q_Lmin }).endS
const dropletShare = (Q_Lmin: number) => {
  const { dropletG, leftG } = run({ fill_mL: 4, Q_Lmin })
  return dropletG / (4 - leftG)
}

function cupObservations(): Observation[] {
  const clay = (what: string, low: number, high: number, likely: number, unit = '1'): Observation => ({
    what,
    source: 'CLAY_LANCET_1983',
    published: { low, high },
    ours: { likely },
    unit,
  })
  return [
    clay('cooling, 4 mL at 6 L/min', 8, 12, cooling({ fill_mL: 4, Q_Lmin: 6 }), 'Cel'),
    clay('cooling, 4 mL at 8 L/min', 8, 12, cooling({ fill_mL: 4, Q_Lmin: 8 }), 'Cel'),
    clay('run time at 6 against 4 L/min: about 40 % less', 0.5, 0.7, minutes(6) / minutes(4)),
    clay('run time at 8 against 6 L/min: a further 15 %, base not told', 0.75, 0.85, minutes(8) / minutes(6)),
    clay('mass released, 2 mL at 6 L/min', 0, 0.5, massOut(2)),
    clay('mass released, 4 mL at 6 L/min', 0.6, 0.8, massOut(4)),
    clay('mass released, 6 mL at 6 L/min', 0.7, 0.85, massOut(6)),
    ...[2, 4, 6].map((fill) =>
      clay(`medicine released, ${fill} mL at 6 L/min: less than the mass`, 0, massOut(fill), drugOut(fill)),
    ),
    ...[6, 8].map(
      (flow): Observation => ({
        what: `droplets' part of the mass lost, 4 mL at ${flow} L/min`,
        source: 'DENNIS_1990',
        published: { low: 0.45, high: 0.61 },
        ours: { likely: dropletShare(flow) },
        unit: '1',
      }),
    ),
    {
      what: 'cooling by a compressor (half the humidity of the room): less than by dry gas',
      source: 'PHIPPS_1990',
      published: { low: 0, high: cooling({ fill_mL: 4 }) },
      ours: { likely: cooling({ fill_mL: 4, RH_in: 0.5 }) },
      unit: 'Cel',
    },
    {
      what: 'run time, 3 mL at 8 L/min',
      source: 'KENDRICK_1997',
      published: { low: 5, high: 15 },
      ours: { likely: run({ fill_mL: 3 }).endS / 60 },
      unit: 'min',
    },
    {
      what: 'droplets halve after the first sputter within (put in)',
      source: 'MALONE_1993',
      published: { low: 0, high: 20 },
      ours: { likely: JET.halvingS },
      unit: 's',
    },
    {
      what: 'volume left in the cup, 4 mL at 8 L/min',
      source: 'KLEINSTREUER_2014',
      published: { low: 0.8, high: 2 },
      ours: { likely: run({ fill_mL: 4 }).leftG },
      unit: 'mL',
    },
    {
      what: 'median droplet at 8 against 4 L/min: halved (put in)',
      source: 'CLAY_THORAX_1983',
      published: { low: 0.4, high: 0.6 },
      ours: { likely: sizeByFlow(8) / sizeByFlow(4) },
      unit: '1',
    },
  ]
}

const EIGHT = 8000 / 60
const SIX = 6000 / 60
const adult: BreathPattern = BREATHING_PATTERNS['adult standard']

/** Inhaled by a pattern, of the same output, without a tube. */
const inhaledBy = (pattern: BreathPattern, flow = EIGHT) => shareWithoutTube(breathOf(pattern), flow)

function breathObservations(): Observation[] {
  const infant = breathOf({ tidalMl: 40, ratePerMin: 40, inspiration: 1, expiration: 2 })
  const supplied = (tidalMl: number) => suppliedMl(breathOf({ ...adult, tidalMl }), SIX)
  const mcpeck =
    inhaledBy(BREATHING_PATTERNS['adult, continuous study']) /
    inhaledBy(BREATHING_PATTERNS['child, continuous study'])
  return [
    {
      what: 'gas of the cup in an infant breath (40 mL, 40/min, 8 L/min): no room air',
      source: 'COLLIS_1990',
      published: { low: 0.98, high: 1 },
      ours: { likely: suppliedMl(infant, EIGHT) / infant.tidalMl },
      unit: '1',
    },
    {
      what: 'dilution in an adult breath at 6 L/min: up to five-fold',
      source: 'COLLIS_1990',
      published: { low: 1.5, high: 5 },
      ours: { likely: adult.tidalMl / supplied(adult.tidalMl) },
      unit: '1',
    },
    {
      what: 'inspired mass once room air is drawn: nearly the same at 600 as at 300 mL',
      source: 'COLLIS_1990',
      published: { low: 0.8, high: 1.25 },
      ours: { likely: supplied(600) / supplied(300) },
      unit: '1',
    },
    {
      what: 'respirable dose at 1 : 4 against 1 : 1; lowest of nine types 0.40',
      source: 'HATLEY_2017',
      published: { low: 0.38, high: 0.8 },
      ours: { likely: inhaledBy({ ...adult, expiration: 4 }) / inhaledBy(adult) },
      unit: '1',
    },
    {
      what: 'continuous nebulization, adult against child at one order: adult above',
      source: 'MCPECK_1997',
      published: { low: 1, high: 1.8 },
      ours: { likely: mcpeck },
      unit: '1',
    },
    {
      what: 'mask 2 cm off against on the face, standard mask (put in)',
      source: 'LIN_2007',
      published: { low: 0.27, high: 0.57 },
      ours: { likely: shareHeldOff(2, 'standard').likely },
      unit: '1',
    },
    {
      what: 'mask 4 cm off against on the face, two systems (put in)',
      source: 'MANSOUR_2012',
      published: { low: 0.11, high: 0.34 },
      ours: { likely: shareHeldOff(4, 'standard').likely },
      unit: '1',
    },
  ]
}

const likely = (fields: SetupFields, name: FigureName) =>
  forecast(setupOf(fields)).figures[name]?.likely ?? Number.NaN

/** Our ends of a sum of figures, as a percentage of the dose. */
function endsOfDose(
  setup: Setup,
  names: readonly FigureName[],
): Observation['ours'] & { low: number; high: number } {
  const { figures } = forecast(setup)
  const percent = 100 / setup.medicine.doseMg
  const sum = (end: 'low' | 'likely' | 'high') =>
    names.reduce((total, name) => total + (figures[name]?.[end] ?? Number.NaN) * percent, 0)
  return { low: sum('low'), likely: sum('likely'), high: sum('high') }
}

const INFANT: SetupFields = { pattern: 'infant', interface: 'mask', weight_kg: 7, stop_after_min: 5 }

function chainObservations(): Observation[] {
  const hess = [3, 4, 5].flatMap((fill_mL) =>
    [6, 8, 10].map((Q_Lmin) => likely({ fill_mL, Q_Lmin }, 'fineParticleMg')),
  )
  const withTube = setupOf({ fill_mL: 3, reservoir_mL: 50 })
  const bare = setupOf({ fill_mL: 3 })
  const lewis = (what: string, percent: number, names: readonly FigureName[]): Observation => ({
    what: `${what}, of the dose: published inside our ends`,
    source: 'LEWIS_1985',
    published: { low: percent, high: percent },
    ours: endsOfDose(withTube, names),
    unit: '%',
  })
  return [
    ...(['least', 'most'] as const).map(
      (which): Observation => ({
        what: `of 2.5 mg, in 1 to 5 um at the mouthpiece: ${which} over 3 to 5 mL and 6 to 10 L/min`,
        source: 'HESS_1996',
        published: { low: 0, high: 0.5 },
        ours: { likely: which === 'least' ? Math.min(...hess) : Math.max(...hess) },
        unit: 'mg',
      }),
    ),
    {
      what: 'of 5 mg, at the mouthpiece, adult 1 : 1 (4 mL taken)',
      source: 'HATLEY_2017',
      published: { low: 0.75, high: 1.9 },
      ours: { likely: likely({ dose_mg: 5, fill_mL: 4 }, 'inhaledMg') },
      unit: 'mg',
    },
    {
      what: 'the same, respirable',
      source: 'HATLEY_2017',
      published: { low: 0.21, high: 0.98 },
      ours: { likely: likely({ dose_mg: 5, fill_mL: 4 }, 'fineParticleMg') },
      unit: 'mg',
    },
    {
      what: 'infant, mask on the face, five minutes of 3 mL: inhaled, of the dose',
      source: 'LIN_2007',
      published: { low: 1.6, high: 4.5 },
      ours: { likely: likely(INFANT, 'inhaledMg') / 0.025 },
      unit: '%',
    },
    {
      what: 'adult, mouthpiece: to the lung, of the dose (12 measured)',
      source: 'LEWIS_1985',
      published: { low: 6, high: 16 },
      ours: { likely: likely({ fill_mL: 3, reservoir_mL: 50 }, 'lungPercent') },
      unit: '%',
    },
    lewis('kept in the apparatus', 66, ['leftInCupMg']),
    lewis('exhaled or lost', 20, ['exhaledMg', 'lostToRoomMg']),
    lewis('mouth and throat', 2, ['mouthThroatMg']),
    {
      what: 'any jet, to the lung, of the dose: 4 mL at 6 L/min with a tube of 50 mL',
      source: 'SONG_2021',
      published: { low: 10, high: 15 },
      ours: { likely: likely({ fill_mL: 4, Q_Lmin: 6, reservoir_mL: 50 }, 'lungPercent') },
      unit: '%',
    },
    {
      what: 'more by mouth than by nose: lung share by nose against by mouth',
      source: 'ICRP_66',
      published: { low: 0, high: 1 },
      ours: { likely: lungBy('nose', bare) / lungBy('mouth', bare) },
      unit: '1',
    },
  ]
}

function lungBy(route: 'mouth' | 'nose', setup: Setup): number {
  const { breath, airways } = checkSetup(setup)
  const flowMlPerS = breath.tidalMl / breath.inS
  return lungShare(
    regionalDeposition({ mmadUm: 3.5, gsd: 2 }, { route, tidalMl: breath.tidalMl, flowMlPerS, airways }),
  )
}

/** Percent of the dust in the air breathed, for a median of 5 um (ICRP 66 and 68, from memory). */
const WORKER = { ET1: 33.85, ET2: 39.91, BB: 1.78, bb: 1.1, AI: 5.32 } as const

function lungObservations(): Observation[] {
  const ours = workerDeposition({ mmadUm: 5, gsd: gsdOfWorkplace(5) }, 3, 1.5)
  return REGIONS.map((region) => ({
    what: `reference worker, dust of 5 um, region ${region} (${WORKER[region]} told)`,
    source: 'ICRP_66',
    published: { low: WORKER[region] - 0.15, high: WORKER[region] + 0.15 },
    ours: { likely: 100 * ours[region] },
    unit: '%',
  }))
}

/** Every published observation that the default set is held against, all with the same set. */
export function observations(): Observation[] {
  return [...cupObservations(), ...breathObservations(), ...chainObservations(), ...lungObservations()]
}
