import type { Ends } from './cup-kinds.ts'

/** Every figure of a forecast: its name, its unit (UCUM) and what it is, in words. */
export const FIGURES = {
  minutesToSputter: { unit: 'min', what: 'time to the first sputter' },
  minutesToEnd: { unit: 'min', what: 'time until the mist has all but ended, or the run is stopped' },
  coolestCel: { unit: 'Cel', what: 'coldest the medicine gets' },
  concentrationRatio: { unit: '1', what: 'strength of what is left, against the strength at the start' },
  leftMl: { unit: 'mL', what: 'volume left in the cup' },
  vaporG: { unit: 'g', what: 'water lost as vapor' },
  dropletG: { unit: 'g', what: 'mass that left as droplets' },
  leavesCupMg: { unit: 'mg', what: 'medicine that leaves the cup' },
  leftInCupMg: { unit: 'mg', what: 'medicine left in the cup' },
  inhaledShare: { unit: '1', what: 'share of what leaves the cup that passes the lips' },
  inhaledMg: { unit: 'mg', what: 'medicine that passes the lips' },
  lostToRoomMg: { unit: 'mg', what: 'medicine lost to the room, tube and face' },
  fineParticleMg: { unit: 'mg', what: 'inhaled medicine in droplets of 1 to 5 um' },
  noseMg: { unit: 'mg', what: 'medicine that lands in the nose' },
  mouthThroatMg: { unit: 'mg', what: 'medicine that lands in mouth and throat' },
  bronchiMg: { unit: 'mg', what: 'medicine that lands in the bronchi' },
  bronchiolesMg: { unit: 'mg', what: 'medicine that lands in the bronchioles' },
  alveoliMg: { unit: 'mg', what: 'medicine that lands in the alveoli' },
  lungMg: { unit: 'mg', what: 'medicine that lands below the throat' },
  lungPercent: { unit: '%', what: 'part of the dose that lands below the throat' },
  exhaledMg: { unit: 'mg', what: 'medicine breathed out again' },
  gasUsedL: { unit: 'L', what: 'driving gas used' },
} as const

export type FigureName = keyof typeof FIGURES

/** null where nothing published supports a figure; the forecast says why. */
export type Figures = { readonly [Name in FigureName]: Ends | null }

/** Figures of the cup alone. */
export const CUP_FIGURES = [
  'minutesToSputter',
  'minutesToEnd',
  'coolestCel',
  'concentrationRatio',
  'leftMl',
  'vaporG',
  'dropletG',
  'leavesCupMg',
  'leftInCupMg',
  'gasUsedL',
] as const satisfies readonly FigureName[]

export const INHALED_FIGURES = [
  'inhaledShare',
  'inhaledMg',
  'lostToRoomMg',
] as const satisfies readonly FigureName[]

/** Figures that need sizes of droplets and a lung for them. */
export const LUNG_FIGURES = [
  'fineParticleMg',
  'noseMg',
  'mouthThroatMg',
  'bronchiMg',
  'bronchiolesMg',
  'alveoliMg',
  'lungMg',
  'lungPercent',
  'exhaledMg',
] as const satisfies readonly FigureName[]

export const NO_FIGURES: Figures = Object.fromEntries(
  (Object.keys(FIGURES) as FigureName[]).map((name) => [name, null]),
) as Figures
