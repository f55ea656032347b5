import { airLikeFlow, type Gas, molesPerSecond } from './gas.ts'
import { latentHeat, saturation, uptakeGPerMol, vaporRatio } from './psychrometrics.ts'

/** What belongs to a cup: one set for each kind of cup, see cup-kinds.ts. */
export type CupParameters = {
  /** Droplets that leave at REFERENCE_FLOW [g/min]. */
  readonly dropletGPerMin: number
  /** Volume in the cup at the first sputter [mL]. */
  readonly sputterMl: number
  /** Heat that comes in from the room for each degree [W/K]. */
  readonly roomHeatWPerK: number
  /** Plastic that cools with the liquid [J/K]. */
  readonly plasticJPerK: number
  /** Flow below which there is no mist [L/min]. */
  readonly noMistLPerMin: number
  /** Half-life of the droplet output after the first sputter [s]. */
  readonly halvingS: number
}

export type CupConditions = {
  readonly fillMl: number
  readonly gas: Gas
  readonly flowLPerMin: number
  /** Of the driving gas on entry, at room temperature: 0 for pipeline and cylinder. */
  readonly relativeHumidity: number
  readonly roomCel: number
  readonly pressurePa: number
  /** Somebody ends the run at this minute, if it still runs. */
  readonly stopAfterMin?: number | undefined
}

export type CupMoment = {
  readonly seconds: number
  readonly waterG: number
  readonly cel: number
  /** Medicine still in the cup, as a share of the dose. */
  readonly drugLeft: number
}

export type CupRun = {
  /** null when the run was stopped before. */
  readonly sputterS: number | null
  readonly endS: number
  readonly leftG: number
  readonly vaporG: number
  readonly dropletG: number
  readonly drugLeft: number
  readonly coolestCel: number
  /** Moments between which the course is smooth; empty unless asked for. */
  readonly moments: readonly CupMoment[]
}

export const REFERENCE_FLOW = 8
const WATER_J_PER_G_K = 4.19
/** The run is over when droplets have fallen to a tenth of what they were at the first sputter. */
const END_SHARE = 0.1
/** A step lasts half of the cup's own time constant: over 60 runs the largest error was 0.005 % of a figure. */
const STEP_OF_TIME_CONSTANT = 0.5
const STEP_OF_MASS = 0.1

/** Droplets before the first sputter [g/s]: proportional to the flow above the flow that gives no mist. */
export function dropletGPerS(cup: CupParameters, gas: Gas, flowLPerMin: number): number {
  const above = Math.max(0, airLikeFlow(gas, flowLPerMin) - cup.noMistLPerMin)
  return ((cup.dropletGPerMin / 60) * above) / (REFERENCE_FLOW - cup.noMistLPerMin)
}

/** Rates of change of the three states at one moment; fields are overwritten, to spare the hot path. */
class Balance {
  readonly droplets: number
  private readonly moles: number
  private readonly vaporRatioIn: number
  private readonly heatWPerK: number
  private readonly cup: CupParameters
  private readonly at: CupConditions
  vaporGPerS = 0
  celPerS = 0

  constructor(cup: CupParameters, at: CupConditions) {
    this.cup = cup
    this.at = at
    this.droplets = dropletGPerS(cup, at.gas, at.flowLPerMin)
    this.moles = molesPerSecond(at.flowLPerMin)
    this.vaporRatioIn = vaporRatio(at.relativeHumidity * saturation(at.roomCel), at.pressurePa)
    this.heatWPerK = this.moles * at.gas.heatJPerMolK + cup.roomHeatWPerK
  }

  heldJPerK(waterG: number): number {
    return waterG * WATER_J_PER_G_K + this.cup.plasticJPerK
  }

  rates(waterG: number, cel: number): void {
    this.vaporGPerS = this.moles * uptakeGPerMol(cel, this.vaporRatioIn, this.at.pressurePa)
    const heatingW = this.heatWPerK * (this.at.roomCel - cel) - latentHeat(cel) * this.vaporGPerS
    this.celPerS = heatingW / this.heldJPerK(waterG)
  }

  /** How fast the temperature settles [s]: heat held ÷ (heat exchange + growth of evaporation with temperature). */
  timeConstantS(waterG: number, cel: number): number {
    const vaporPa = saturation(cel)
    const slope = (vaporPa * 17.62 * 243.12) / (243.12 + cel) ** 2
    const dryPa = this.at.pressurePa - vaporPa
    const growth = (18.015 * this.moles * this.at.pressurePa * slope) / (dryPa * dryPa)
    return this.heldJPerK(waterG) / (this.heatWPerK + latentHeat(cel) * growth)
  }
}

type State = { seconds: number; waterG: number; cel: number; logDrug: number }

/**
 * One run of a jet cup: two masses and a temperature.
 * Before the first sputter the mass left is the independent variable, so that the sputter is met exactly and the
 * droplets are simply rate × time; after it, time is. Both by Runge-Kutta of fourth order.
 * Inputs are taken as checked (see setup.ts).
 */
export function runCup(cup: CupParameters, at: CupConditions, keepMoments = false): CupRun {
  const balance = new Balance(cup, at)
  const state: State = { seconds: 0, waterG: at.fillMl, cel: at.roomCel, logDrug: 0 }
  const stopS = at.stopAfterMin === undefined ? Infinity : at.stopAfterMin * 60
  const moments: CupMoment[] = []
  let coolestCel = state.cel
  const keep = () => {
    if (state.cel < coolestCel) coolestCel = state.cel
    if (keepMoments) moments.push(momentOf(state))
  }
  keep()
  const reached = runToSputter(balance, state, cup.sputterMl, stopS, keep)
  const sputterS = reached ? state.seconds : null
  let dropletG = balance.droplets * state.seconds
  if (reached) dropletG += runTail(balance, state, cup.halvingS, stopS, keep)
  return {
    sputterS,
    endS: state.seconds,
    leftG: state.waterG,
    vaporG: at.fillMl - state.waterG - dropletG,
    dropletG,
    drugLeft: Math.exp(state.logDrug),
    coolestCel,
    moments,
  }
}

function momentOf(state: State): CupMoment {
  return {
    seconds: state.seconds,
    waterG: state.waterG,
    cel: state.cel,
    drugLeft: Math.exp(state.logDrug),
  }
}

/** @returns whether the first sputter came before the stop */
function runToSputter(
  balance: Balance,
  state: State,
  sputterMl: number,
  stopS: number,
  keep: () => void,
): boolean {
  const before: State = { ...state }
  while (state.waterG > sputterMl) {
    balance.rates(state.waterG, state.cel)
    const lossGPerS = balance.droplets + balance.vaporGPerS
    const stepS = STEP_OF_TIME_CONSTANT * balance.timeConstantS(state.waterG, state.cel)
    const stepG = Math.min(stepS * lossGPerS, STEP_OF_MASS * state.waterG)
    copy(state, before)
    stepDown(balance, state, Math.min(stepG, state.waterG - sputterMl))
    if (state.seconds >= stopS) {
      copy(before, state)
      stepOn(balance, state, stopS - before.seconds, () => 1)
      keep()
      return false
    }
    keep()
  }
  return state.seconds < stopS
}

function copy(from: State, to: State): void {
  to.seconds = from.seconds
  to.waterG = from.waterG
  to.cel = from.cel
  to.logDrug = from.logDrug
}

/** One step of Runge-Kutta with mass as the independent variable, `g` downwards. */
function stepDown(balance: Balance, state: State, g: number): void {
  const { waterG, cel } = state
  let seconds = 0
  let warmed = 0
  let logDrug = 0
  let slope = 0
  for (let stage = 0; stage < 4; stage++) {
    const back = stage === 0 ? 0 : stage === 3 ? g : g / 2
    const water = waterG - back
    balance.rates(water, cel + slope * back)
    const perG = 1 / (balance.droplets + balance.vaporGPerS)
    const weight = stage === 0 || stage === 3 ? g / 6 : g / 3
    slope = balance.celPerS * perG
    seconds += weight * perG
    warmed += weight * slope
    logDrug -= (weight * balance.droplets * perG) / water
  }
  state.seconds += seconds
  state.waterG = waterG - g
  state.cel = cel + warmed
  state.logDrug += logDrug
}

/** One step of Runge-Kutta in time. `share` is the droplet output at a time into the step, of that before sputter. */
function stepOn(balance: Balance, state: State, stepS: number, share: (intoS: number) => number): void {
  const { waterG, cel } = state
  let lost = 0
  let warmed = 0
  let logDrug = 0
  let lossSlope = 0
  let celSlope = 0
  for (let stage = 0; stage < 4; stage++) {
    const into = stage === 0 ? 0 : stage === 3 ? stepS : stepS / 2
    const water = waterG - lossSlope * into
    balance.rates(water, cel + celSlope * into)
    const droplets = balance.droplets * share(into)
    const weight = stage === 0 || stage === 3 ? stepS / 6 : stepS / 3
    lossSlope = droplets + balance.vaporGPerS
    celSlope = balance.celPerS
    lost += weight * lossSlope
    warmed += weight * celSlope
    logDrug -= (weight * droplets) / water
  }
  state.seconds += stepS
  state.waterG = waterG - lost
  state.cel = cel + warmed
  state.logDrug += logDrug
}

/** From the first sputter until droplets have fallen to END_SHARE, or to the stop. @returns droplets [g] */
function runTail(balance: Balance, state: State, halvingS: number, stopS: number, keep: () => void): number {
  const decayPerS = Math.LN2 / halvingS
  const lastsS = Math.min(-Math.log(END_SHARE) / decayPerS, stopS - state.seconds)
  const roughS = Math.min(0.4 * balance.timeConstantS(state.waterG, state.cel), 0.6 * halvingS)
  const steps = Math.ceil(lastsS / roughS)
  const stepS = lastsS / steps
  for (let step = 0; step < steps; step++) {
    const startS = step * stepS
    stepOn(balance, state, stepS, (intoS) => Math.exp(-decayPerS * (startS + intoS)))
    keep()
  }
  return (balance.droplets * (1 - Math.exp(-decayPerS * lastsS))) / decayPerS
}

/** What is left of a fill when vapor is a constant share of the mass lost: the closed form. */
export type ConstantShare = {
  /** Concentration in the cup ÷ concentration at the start: (V0 ÷ V)^f. */
  readonly concentrationRatio: number
  /** Share of the medicine that left: 1 - (V ÷ V0)^(1 - f); always below the share of the mass that left. */
  readonly drugOut: number
}

/** Closed form of the cup for a constant vapor share `f` of the mass lost (BALANCE). Inputs are taken as checked. */
export function constantVaporShare(startMl: number, leftMl: number, vaporShare: number): ConstantShare {
  return {
    concentrationRatio: (startMl / leftMl) ** vaporShare,
    drugOut: 1 - (leftMl / startMl) ** (1 - vaporShare),
  }
}
