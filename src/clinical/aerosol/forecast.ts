import { cautionsOf } from './cautions.ts'
import type { CupMoment } from './cup.ts'
import { dropletGPerS } from './cup.ts'
import type { Ends } from './cup-kinds.ts'
import {
  CUP_FIGURES,
  type FigureName,
  type Figures,
  INHALED_FIGURES,
  LUNG_FIGURES,
  NO_FIGURES,
} from './figures.ts'
import { type CupForecast, forecastJet, forecastMesh } from './forecast-cup.ts'
import { lungShares, whyNoLung } from './forecast-lung.ts'
import { interfaceShare } from './interface.ts'
import { inhaledShare } from './reservoir.ts'
import { type CheckedSetup, checkSetup, type Setup } from './setup.ts'

/** A moment of the likely run. */
export type CurvePoint = {
  readonly minutes: number
  readonly cel: number
  /** Strength in the cup, against the start. */
  readonly concentrationRatio: number
  readonly leavesMgPerMin: number
  readonly inhaledMg: number | null
}

export type Forecast = {
  readonly figures: Figures
  /** Figures that are null, and why. */
  readonly notKnown: readonly { readonly figures: readonly FigureName[]; readonly why: string }[]
  /** False for a mask held off: the spread may be shown, a dose not be promised. */
  readonly promisesDose: boolean
  /** Runs charted here that the cup's figures rest on; 0 for the published spread. */
  readonly runsHere: number
  /** The likely run from start to end, at the moments at which it was worked out; empty for a mesh. */
  readonly curves: readonly CurvePoint[]
  readonly cautions: readonly string[]
}

/**
 * What a set-up will do: run time, temperature, and where the medicine goes. Each figure low, likely and high, by
 * running the model at the ends of what is known. The likely figures add up: dose = left + leaves;
 * leaves = inhaled + lost; inhaled = where it lands + exhaled. See explainForecast for the working.
 * @throws BadInput, OutsideValidity or NoPublishedData naming field, value and what is allowed
 */
export function forecast(setup: Setup): Forecast {
  const checked = checkSetup(setup)
  const cup = checked.kind === 'jet' ? forecastJet(checked) : forecastMesh(checked)
  const inhaled = inhaledFigures(checked, cup)
  const lung = inhaled.ends ? lungFigures(checked, inhaled.ends) : null
  const gaps = [
    ...cupGaps(checked, cup),
    ...(inhaled.why === null ? [] : [{ figures: [...INHALED_FIGURES, ...LUNG_FIGURES], why: inhaled.why }]),
    ...(lung === null || lung.why === null ? [] : [{ figures: LUNG_FIGURES, why: lung.why }]),
  ]
  return {
    figures: { ...NO_FIGURES, ...cup.figures, ...inhaled.figures, ...lung?.figures },
    notKnown: gaps,
    promisesDose: inhaled.promises,
    runsHere: setup.cup.calibration?.runs ?? 0,
    curves: curvesOf(checked, cup, inhaled.ends?.share.likely ?? null),
    cautions: cautionsOf(checked, cup.figures.coolestCel?.low ?? null),
  }
}

function cupGaps(checked: CheckedSetup, cup: CupForecast): { figures: FigureName[]; why: string }[] {
  const figures = CUP_FIGURES.filter((name) => cup.figures[name] === null)
  return figures.length === 0 ? [] : [{ figures, why: whyNoCup(checked) }]
}

function whyNoCup({ kind, setup }: CheckedSetup): string {
  if (kind === 'jet') return 'The run is stopped before the first sputter, or may be.'
  return setup.stopAfterMin === undefined
    ? 'No published output of a mesh by fill was found here: only what stays behind is known.'
    : 'No published output of a mesh by fill was found here: what a run that is stopped leaves behind is not known either.'
}

type Inhaled = { readonly share: Ends; readonly mg: Ends }

function inhaledFigures(
  checked: CheckedSetup,
  cup: CupForecast,
): { figures: Partial<Figures>; ends: Inhaled | null; promises: boolean; why: string | null } {
  const used = interfaceShare(checked.setup.interface)
  const leaves = cup.figures.leavesCupMg
  if (checked.kind === 'mesh' || leaves === null) {
    const why = 'The share inhaled rests on the flow of a driving gas, which a mesh has not.'
    return { figures: {}, ends: null, promises: false, why }
  }
  if (!used.known) return { figures: {}, ends: null, promises: false, why: used.why }
  const breathed = inhaledShare(
    checked.breath,
    (checked.setup.gas.flowLPerMin * 1000) / 60,
    checked.setup.reservoirMl,
  )
  const share = times(breathed, used.share)
  const mg = times(leaves, share)
  const lost = {
    low: leaves.low * (1 - share.high),
    likely: leaves.likely - mg.likely,
    high: leaves.high * (1 - share.low),
  }
  const figures = { inhaledShare: share, inhaledMg: mg, lostToRoomMg: lost }
  return { figures, ends: { share, mg }, promises: used.promises, why: null }
}

/** Low with low and high with high: both factors are above zero, so these are the ends of the product. */
function times(a: Ends, b: Ends): Ends {
  return { low: a.low * b.low, likely: a.likely * b.likely, high: a.high * b.high }
}

function lungFigures(
  checked: CheckedSetup,
  { mg }: Inhaled,
): { figures: Partial<Figures>; why: string | null } {
  const why = whyNoLung(checked)
  if (why !== null) return { figures: {}, why }
  const shares = lungShares(checked)
  const lungMg = times(mg, shares.lung)
  const percent = 100 / checked.setup.medicine.doseMg
  return {
    why: null,
    figures: {
      fineParticleMg: times(mg, shares.fineParticle),
      noseMg: times(mg, shares.nose),
      mouthThroatMg: times(mg, shares.mouthThroat),
      bronchiMg: times(mg, shares.bronchi),
      bronchiolesMg: times(mg, shares.bronchioles),
      alveoliMg: times(mg, shares.alveoli),
      lungMg,
      lungPercent: times(lungMg, { low: percent, likely: percent, high: percent }),
      exhaledMg: times(mg, shares.exhaled),
    },
  }
}

function curvesOf(checked: CheckedSetup, cup: CupForecast, inhaledOfLeaving: number | null): CurvePoint[] {
  if (!cup.likely) return []
  const { cup: parameters, run } = cup.likely
  const { setup, conditions } = checked
  const steady = dropletGPerS(parameters, conditions.gas, conditions.flowLPerMin)
  const { doseMg } = setup.medicine
  return run.moments.map((moment) => {
    const tailS = run.sputterS === null ? 0 : Math.max(0, moment.seconds - run.sputterS)
    const droplets = steady * 2 ** (-tailS / parameters.halvingS)
    return {
      minutes: moment.seconds / 60,
      cel: moment.cel,
      concentrationRatio: (moment.drugLeft * setup.fillMl) / moment.waterG,
      leavesMgPerMin: leavingMgPerMin(moment, droplets, doseMg),
      inhaledMg: inhaledOfLeaving === null ? null : doseMg * (1 - moment.drugLeft) * inhaledOfLeaving,
    }
  })
}

function leavingMgPerMin(moment: CupMoment, dropletsGPerS: number, doseMg: number): number {
  return (60 * dropletsGPerS * moment.drugLeft * doseMg) / moment.waterG
}
