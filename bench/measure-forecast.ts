import { forecast } from '../src/clinical/aerosol/forecast.ts'
import { ADULT, SETUPS } from './forecast-setups.ts'
import { largestDifference, plainForecast } from './plain-forecast.ts'

const WARM_UP = 300
const ROUNDS = 1500

/** What the forecast costs where this runs: milliseconds a call, over the set-ups in turn. */
export type ForecastCost = {
  readonly rounds: number
  readonly medianMs: number
  readonly p95Ms: number
  readonly slowestMs: number
  /** The plain run of the same equations, its mean over the set-ups. */
  readonly plainMs: number
  /** By how much the two differ at most, in any figure of any set-up, and in which. */
  readonly difference: { readonly relative: number; readonly figure: string; readonly compared: number }
  readonly setUps: number
}

/** Times the full forecast with its ranges, and the plain run that it is judged by. The same in a browser and in Node. */
export function measureForecast(): ForecastCost {
  for (let i = 0; i < WARM_UP; i++) forecast(setupAt(i))
  const times = Array.from({ length: ROUNDS }, (_, i) => timed(() => forecast(setupAt(i))))
  times.sort((a, b) => a - b)
  const at = (share: number) => times[Math.floor(share * (times.length - 1))] ?? Number.NaN
  const plain = SETUPS.map((setup) => {
    const start = performance.now()
    const figures = plainForecast(setup)
    return { ms: performance.now() - start, difference: largestDifference(forecast(setup).figures, figures) }
  })
  return {
    rounds: ROUNDS,
    medianMs: at(0.5),
    p95Ms: at(0.95),
    slowestMs: at(1),
    plainMs: plain.reduce((sum, { ms }) => sum + ms, 0) / plain.length,
    difference: plain.map(({ difference }) => difference).reduce((a, b) => (b.relative > a.relative ? b : a)),
    setUps: SETUPS.length,
  }
}

const setupAt = (i: number) => SETUPS[i % SETUPS.length] ?? ADULT

function timed(work: () => unknown): number {
  const start = performance.now()
  work()
  return performance.now() - start
}
