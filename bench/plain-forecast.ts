import { breathOf } from '../src/clinical/aerosol/breath.ts'
import { type CupConditions, type CupParameters, dropletGPerS } from '../src/clinical/aerosol/cup.ts'
import { cupEnds, likelyCup } from '../src/clinical/aerosol/cup-scenarios.ts'
import { dropletEnds, lungBreathOf } from '../src/clinical/aerosol/forecast-lung.ts'
import { molesPerSecond } from '../src/clinical/aerosol/gas.ts'
import { interfaceShare } from '../src/clinical/aerosol/interface.ts'
import { type Deposition, depositionOfSize } from '../src/clinical/aerosol/lung.ts'
import { latentHeat, saturation, uptakeGPerMol, vaporRatio } from '../src/clinical/aerosol/psychrometrics.ts'
import { checkSetup, type Setup } from '../src/clinical/aerosol/setup.ts'
import { mixedByMinuteSteps, parcelStack } from './plain-breath.ts'

/**
 * The forecast of a jet the plain way: the same equations, in tiny explicit steps, breath by breath and size by
 * size, at the same ends. Nobody would wait for it at a bedside; the quick forecast is judged by it.
 */
export function plainForecast(setup: Setup): Record<string, { low: number; likely: number; high: number }> {
  const checked = checkSetup(setup)
  const likely = plainCup(likelyCup(checked), checked.conditions)
  const runs = [likely, ...cupEnds(checked).map(({ cup }) => plainCup(cup, checked.conditions))]
  const { doseMg } = setup.medicine
  const over = (f: (run: PlainRun) => number) => range(f(likely), runs.map(f))
  const leaves = over((run) => doseMg * (1 - run.drugLeft))
  const share = plainShare(setup)
  const inhaled = times(leaves, share)
  const parts = plainLung(setup)
  return {
    minutesToSputter: over((run) => run.sputterS / 60),
    minutesToEnd: over((run) => run.endS / 60),
    coolestCel: over((run) => run.coolestCel),
    concentrationRatio: over((run) => (run.drugLeft * setup.fillMl) / run.waterG),
    leftMl: over((run) => run.waterG),
    vaporG: over((run) => run.vaporG),
    dropletG: over((run) => run.dropletG),
    leavesCupMg: leaves,
    leftInCupMg: over((run) => doseMg * run.drugLeft),
    inhaledShare: share,
    inhaledMg: inhaled,
    lostToRoomMg: {
      low: leaves.low * (1 - share.high),
      likely: leaves.likely - inhaled.likely,
      high: leaves.high * (1 - share.low),
    },
    fineParticleMg: times(inhaled, parts.fineParticle),
    mouthThroatMg: times(inhaled, parts.mouthThroat),
    bronchiMg: times(inhaled, parts.bronchi),
    bronchiolesMg: times(inhaled, parts.bronchioles),
    alveoliMg: times(inhaled, parts.alveoli),
    lungMg: times(inhaled, parts.lung),
    exhaledMg: times(inhaled, parts.exhaled),
    gasUsedL: over((run) => (setup.gas.flowLPerMin * run.endS) / 60),
  }
}

type Ends = { low: number; likely: number; high: number }
const times = (a: Ends, b: Ends): Ends => ({
  low: a.low * b.low,
  likely: a.likely * b.likely,
  high: a.high * b.high,
})
const range = (likely: number, values: number[]): Ends => ({
  low: Math.min(likely, ...values),
  likely,
  high: Math.max(likely, ...values),
})

type PlainRun = {
  sputterS: number
  endS: number
  waterG: number
  drugLeft: number
  coolestCel: number
  vaporG: number
  dropletG: number
}

const STEP_S = 0.01

function plainCup(cup: CupParameters, at: CupConditions): PlainRun {
  const moles = molesPerSecond(at.flowLPerMin)
  const steady = dropletGPerS(cup, at.gas, at.flowLPerMin)
  const ratioIn = vaporRatio(at.relativeHumidity * saturation(at.roomCel), at.pressurePa)
  const exchange = moles * at.gas.heatJPerMolK + cup.roomHeatWPerK
  const stopS = at.stopAfterMin === undefined ? Infinity : at.stopAfterMin * 60
  let [waterG, cel, drugLeft, seconds] = [at.fillMl, at.roomCel, 1, 0]
  let [vaporG, dropletG, coolestCel] = [0, 0, at.roomCel]
  let sputterS = waterG <= cup.sputterMl ? 0 : Number.NaN
  for (;;) {
    const droplets = Number.isNaN(sputterS) ? steady : steady * 0.5 ** ((seconds - sputterS) / cup.halvingS)
    if (droplets < 0.1 * steady || seconds >= stopS) break
    const vapor = moles * uptakeGPerMol(cel, ratioIn, at.pressurePa)
    const watts = exchange * (at.roomCel - cel) - latentHeat(cel) * vapor
    drugLeft -= ((drugLeft * droplets) / waterG) * STEP_S
    cel += (watts / (waterG * 4.19 + cup.plasticJPerK)) * STEP_S
    waterG -= (droplets + vapor) * STEP_S
    vaporG += vapor * STEP_S
    dropletG += droplets * STEP_S
    seconds += STEP_S
    if (cel < coolestCel) coolestCel = cel
    if (Number.isNaN(sputterS) && waterG <= cup.sputterMl) sputterS = seconds
  }
  return { sputterS, endS: seconds, waterG, drugLeft, coolestCel, vaporG, dropletG }
}

function plainShare(setup: Setup): Ends {
  const breath = breathOf(setup.breath)
  const flow = (setup.gas.flowLPerMin * 1000) / 60
  const perBreath = flow * breath.totalS
  const high = parcelStack(breath, flow, setup.reservoirMl, { stepS: 0.0002, breaths: 10 }).cupMl / perBreath
  const low =
    mixedByMinuteSteps(breath, flow, setup.reservoirMl, { stepS: 0.0002, breaths: 20 }).cupMl / perBreath
  const used = interfaceShare(setup.interface)
  if (!used.known) throw new Error('the plain forecast is for interfaces with a known share')
  return times({ low, likely: (low + high) / 2, high }, used.share)
}

const SIZES = 4000
type Parts = Record<keyof Deposition | 'lung' | 'fineParticle', number>

function plainLung(setup: Setup): Record<keyof Parts, Ends> {
  const checked = checkSetup(setup)
  const breath = lungBreathOf(checked)
  const { likely, ends } = dropletEnds(checked)
  const all = [likely, ...ends].map(({ mmadUm, gsd }) => {
    const sum: Parts = {
      nose: 0,
      mouthThroat: 0,
      bronchi: 0,
      bronchioles: 0,
      alveoli: 0,
      exhaled: 0,
      lung: 0,
      fineParticle: 0,
    }
    let total = 0
    for (let i = 0; i < SIZES; i++) {
      const z = -4.5 + (9 * (i + 0.5)) / SIZES
      const um = mmadUm * gsd ** z
      const weight = Math.exp(-(z * z) / 2)
      total += weight
      const at = depositionOfSize(um, breath)
      for (const key of Object.keys(at) as (keyof Deposition)[]) sum[key] += weight * at[key]
      sum.lung += weight * (at.bronchi + at.bronchioles + at.alveoli)
      if (um > 1 && um < 5) sum.fineParticle += weight
    }
    for (const key of Object.keys(sum) as (keyof Parts)[]) sum[key] /= total
    return sum
  })
  const keys = Object.keys(all[0] as Parts) as (keyof Parts)[]
  return Object.fromEntries(
    keys.map((key) => [
      key,
      range(
        (all[0] as Parts)[key],
        all.map((parts) => parts[key]),
      ),
    ]),
  ) as Record<keyof Parts, Ends>
}

/** Largest relative difference of two sets of figures, and which figure has it. */
export function largestDifference(
  quick: Readonly<Record<string, Ends | null>>,
  plain: Readonly<Record<string, Ends>>,
): { figure: string; relative: number; compared: number } {
  let worst = { figure: 'none', relative: 0, compared: 0 }
  let compared = 0
  for (const [figure, ends] of Object.entries(plain)) {
    const ours = quick[figure]
    if (!ours) throw new Error(`the quick forecast has no ${figure}`)
    for (const end of ['low', 'likely', 'high'] as const) {
      const difference = Math.abs(ours[end] - ends[end])
      const relative = difference === 0 ? 0 : difference / Math.abs(ends[end])
      compared++
      if (!(relative <= worst.relative)) worst = { figure: `${figure}.${end}`, relative, compared }
    }
  }
  return { ...worst, compared }
}
