import { forecast } from '../src/clinical/aerosol/forecast.ts'
import { ADULT, SETUPS } from './forecast-setups.ts'
import { largestDifference, plainForecast } from './plain-forecast.ts'

const WARM_UP = 300
const ROUNDS = 1500
const MARK_MS = 4

/**
 * How long a forecast with its ranges takes, against the plain run of the same equations, and how far the two lie
 * apart. Runs the same in a browser as on a server.
 */
export async function run(): Promise<void> {
  for (let i = 0; i < WARM_UP; i++) forecast(SETUPS[i % SETUPS.length] ?? ADULT)
  const times = Array.from({ length: ROUNDS }, (_, i) =>
    timed(() => forecast(SETUPS[i % SETUPS.length] ?? ADULT)),
  )
  times.sort((a, b) => a - b)
  const at = (share: number) => times[Math.floor(share * (times.length - 1))] ?? Number.NaN
  const plain = SETUPS.map((setup) => ({ setup, ms: timed(() => plainForecast(setup)) }))
  const plainMs = plain.reduce((sum, { ms }) => sum + ms, 0) / plain.length
  const differences = SETUPS.map((setup) => largestDifference(forecast(setup).figures, plainForecast(setup)))
  const worst = differences.reduce((a, b) => (b.relative > a.relative ? b : a))
  console.log(
    `forecast with ranges: median ${at(0.5).toFixed(3)} ms, p95 ${at(0.95).toFixed(3)} ms (${ROUNDS} forecasts)`,
  )
  console.log(`at a quarter of this speed: p95 ${(4 * at(0.95)).toFixed(3)} ms, mark ${MARK_MS} ms`)
  console.log(`plain run: ${plainMs.toFixed(0)} ms, ${(plainMs / at(0.5)).toFixed(0)} times as long`)
  console.log(
    `largest difference: ${(100 * worst.relative).toFixed(3)} % in ${worst.figure} (${worst.compared} figures each, ${SETUPS.length} set-ups)`,
  )
}

function timed(work: () => unknown): number {
  const start = performance.now()
  work()
  return performance.now() - start
}
