import { aheadOfNeedS, type Breath, suppliedMl } from './breath.ts'

/** Where the gas of one inspiration comes from [mL]; adds up to the tidal volume. */
export type BreathSources = {
  /** Gas of the cup, straight or out of the tube: what carries the mist. */
  readonly cupMl: number
  /** Breathed out before, and taken back out of the tube. */
  readonly rebreathedMl: number
  readonly roomMl: number
}

/** Volume that cup and expiration push into the tube in the last `s` seconds of expiration [mL]. */
function pushedInLast(breath: Breath, flow: number, s: number): number {
  return flow * s + (breath.tidalMl / 2) * (1 - Math.cos((Math.PI * s) / breath.outS))
}

/**
 * A tube in which gas moves as a plug, last in first out: the most that a tube can save.
 * Steady breath in closed form. The draw takes first what the cup pushed in while the breath began slowly, then
 * what went in last during expiration; it never reaches further back, as it is smaller than one expiration.
 */
export function plugFlow(breath: Breath, flow: number, tubeMl: number): BreathSources {
  const straightMl = suppliedMl(breath, flow)
  const drawMl = Math.min(breath.tidalMl - straightMl, tubeMl)
  const roomMl = breath.tidalMl - straightMl - drawMl
  const { early } = surplus(breath, flow)
  if (drawMl <= early) return { cupMl: straightMl + drawMl, rebreathedMl: 0, roomMl }
  const s = secondsThatPush(breath, flow, drawMl - early)
  const fromTubeMl = early + flow * s
  return { cupMl: straightMl + fromTubeMl, rebreathedMl: drawMl - fromTubeMl, roomMl }
}

/** What the cup gives beyond need before and after the draw [mL]; the breath is symmetric, so both are equal. */
function surplus(breath: Breath, flow: number): { early: number } {
  if (flow >= breath.peakMlPerS) return { early: (flow * breath.inS - breath.tidalMl) / 2 }
  const s = aheadOfNeedS(breath, flow)
  const taken = (breath.tidalMl / 2) * (1 - Math.cos((Math.PI * s) / breath.inS))
  return { early: flow * s - taken }
}

/** The s for which pushedInLast is `ml`, by Newton with halving as a guard. */
function secondsThatPush(breath: Breath, flow: number, ml: number): number {
  let low = 0
  let high = breath.outS
  let s = Math.min(high, ml / flow)
  for (let round = 0; round < 60; round++) {
    const over = pushedInLast(breath, flow, s) - ml
    if (Math.abs(over) < 1e-10 * breath.tidalMl) break
    if (over > 0) high = s
    else low = s
    const slope =
      flow + ((Math.PI * breath.tidalMl) / (2 * breath.outS)) * Math.sin((Math.PI * s) / breath.outS)
    const next = s - over / slope
    s = next > low && next < high ? next : (low + high) / 2
  }
  return s
}

/** Less than this is no tube [mL]: a division by it would say nothing. */
const NO_TUBE_ML = 1e-6

/**
 * A tube in which gas is mixed at once: the least that a tube can save. Steady breath.
 * Pushing V mL of pure cup gas leaves e^(-V ÷ tube) of what was there; drawing lets room air follow.
 */
export function fullMixing(breath: Breath, flow: number, tubeMl: number): BreathSources {
  const straightMl = suppliedMl(breath, flow)
  const drawMl = breath.tidalMl - straightMl
  if (tubeMl < NO_TUBE_ML || drawMl === 0) return { cupMl: straightMl, rebreathedMl: 0, roomMl: drawMl }
  const afterOut = afterExpiration(breath, flow, tubeMl)
  const { early } = surplus(breath, flow)
  const keepEarly = Math.exp(-early / tubeMl)
  const keepDraw = Math.exp(-drawMl / tubeMl)
  // Start of inspiration: shares c of cup gas and x of exhaled gas. Once round the breath gives them back.
  const decay = keepEarly * keepDraw * keepEarly * afterOut.kept
  const pushedEarly = 1 - keepEarly
  const cupStart =
    ((pushedEarly * keepDraw * keepEarly + pushedEarly) * afterOut.kept + afterOut.cup) / (1 - decay)
  const exhaledStart = (1 - afterOut.kept - afterOut.cup) / (1 - decay)
  const drawn = tubeMl * (1 - keepDraw)
  const cupMl = drawn * (cupStart * keepEarly + pushedEarly)
  const rebreathedMl = drawn * exhaledStart * keepEarly
  return { cupMl: straightMl + cupMl, rebreathedMl, roomMl: drawMl - cupMl - rebreathedMl }
}

const LEGENDRE_8 = [
  [0.1834346424956498, 0.362683783378362],
  [0.525532409916329, 0.3137066458778873],
  [0.7966664774136267, 0.2223810344533745],
  [0.9602898564975363, 0.1012285362903763],
] as const

/**
 * What expiration does to a mixed tube: share of the earlier content that is kept, and share that is cup gas.
 * The integral over the last moments, where the weight e^(-pushed ÷ tube) lives, in four spans of eight points.
 */
function afterExpiration(breath: Breath, flow: number, tubeMl: number): { kept: number; cup: number } {
  const reachS = secondsThatPush(breath, flow, Math.min(25 * tubeMl, pushedInLast(breath, flow, breath.outS)))
  const spanS = reachS / 4
  let sum = 0
  for (let span = 0; span < 4; span++) {
    for (const [node, weight] of LEGENDRE_8) {
      for (const side of [-node, node]) {
        const s = spanS * (span + 0.5 + side / 2)
        sum += weight * Math.exp(-pushedInLast(breath, flow, s) / tubeMl)
      }
    }
  }
  const kept = Math.exp(-pushedInLast(breath, flow, breath.outS) / tubeMl)
  return { kept, cup: ((flow / tubeMl) * sum * spanS) / 2 }
}

/** Shares of the cup's output that are breathed in: mixed tube, half way, plug flow. */
export type InhaledShare = {
  readonly low: number
  readonly likely: number
  readonly high: number
  readonly dilution: number
}

/**
 * Share of the cup's output breathed in with a tube of this volume: both limits, and half way between them.
 * Steady sine breathing, steady cup flow, mist and gas moving together (COLLIS_1990 for what entrainment does).
 */
export function inhaledShare(breath: Breath, flowMlPerS: number, tubeMl: number): InhaledShare {
  const perBreathMl = flowMlPerS * breath.totalS
  const high = plugFlow(breath, flowMlPerS, tubeMl).cupMl / perBreathMl
  const low = fullMixing(breath, flowMlPerS, tubeMl).cupMl / perBreathMl
  const likely = (low + high) / 2
  return { low, likely, high, dilution: breath.tidalMl / (likely * perBreathMl) }
}
