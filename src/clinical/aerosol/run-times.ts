import { type CupConditions, runCup } from './cup.ts'
import { JET, JET_DROPLETS, JET_SPUTTER } from './cup-kinds.ts'
import { valueAt } from './cup-prior.ts'

/** How far the tables go, in standard deviations of the published spread. */
const REACH = 4.5
const RATES = 24
const VOLUMES = 60
const LOWEST_LN = Math.log(valueAt(JET_DROPLETS, -REACH))
const STEP_LN = (Math.log(valueAt(JET_DROPLETS, REACH)) - LOWEST_LN) / (RATES - 1)
const LOWEST_ML = valueAt(JET_SPUTTER, -REACH)

/** Minutes from the start until so much is left, for a range of droplet rates, under one set of conditions. */
export type RunTimes = { readonly fillMl: number; readonly minutes: readonly Float64Array[] }

/**
 * Tables the course of runs once, so that learning may ask thousands of times: cubic in the logarithm of the rate,
 * straight in the volume. Within 0.1 % of a run of its own (see calibrate.test.ts).
 */
export function runTimes(conditions: CupConditions): RunTimes {
  const key = keyOf(conditions)
  const known = KNOWN.get(key)
  if (known) return known
  const made = tabled(conditions)
  if (KNOWN.size >= KEPT) KNOWN.delete(KNOWN.keys().next().value ?? '')
  KNOWN.set(key, made)
  return made
}

/** Tables made before, by their conditions: a ward runs the same few fills and flows all day. */
const KNOWN = new Map<string, RunTimes>()
const KEPT = 64

/** Conditions that run the same have the same key. */
export function keyOf(conditions: CupConditions): string {
  const { fillMl, gas, flowLPerMin, relativeHumidity, roomCel, pressurePa } = conditions
  return [fillMl, gas.kind, flowLPerMin, relativeHumidity, roomCel, pressurePa].join()
}

function tabled(conditions: CupConditions): RunTimes {
  const minutes = Array.from({ length: RATES }, (_, i) =>
    courseOf(Math.exp(LOWEST_LN + i * STEP_LN), conditions),
  )
  return { fillMl: conditions.fillMl, minutes }
}

function courseOf(dropletGPerMin: number, conditions: CupConditions): Float64Array {
  const cup = { ...JET, dropletGPerMin, sputterMl: LOWEST_ML }
  const { moments } = runCup(cup, { ...conditions, stopAfterMin: undefined }, true)
  const stepMl = (conditions.fillMl - LOWEST_ML) / (VOLUMES - 1)
  const course = new Float64Array(VOLUMES)
  let at = 0
  for (let i = VOLUMES - 1; i >= 0; i--) {
    const waterMl = LOWEST_ML + i * stepMl
    while (at < moments.length - 2 && (moments[at + 1]?.waterG ?? 0) > waterMl) at++
    const [from, to] = [moments[at], moments[at + 1]]
    if (!from || !to) continue
    const way = (from.waterG - waterMl) / (from.waterG - to.waterG)
    course[i] = (from.seconds + way * (to.seconds - from.seconds)) / 60
  }
  return course
}

/** Minutes until `leftMl` is left; zero when the fill is no more than that. */
export function minutesUntil(times: RunTimes, dropletGPerMin: number, leftMl: number): number {
  if (leftMl >= times.fillMl) return 0
  const place = ((leftMl - LOWEST_ML) / (times.fillMl - LOWEST_ML)) * (VOLUMES - 1)
  const row = Math.max(0, Math.min(VOLUMES - 2, Math.floor(place)))
  return atRate(dropletGPerMin, (rate) => {
    const course = times.minutes[rate]
    const from = course?.[row] ?? 0
    return from + (place - row) * ((course?.[row + 1] ?? 0) - from)
  })
}

/** Mass left after so many minutes without a sputter [g]. */
export function leftAfter(times: RunTimes, dropletGPerMin: number, minutes: number): number {
  let low = LOWEST_ML
  let high = times.fillMl
  for (let halvings = 0; halvings < 24; halvings++) {
    const middle = (low + high) / 2
    if (minutesUntil(times, dropletGPerMin, middle) > minutes) low = middle
    else high = middle
  }
  return (low + high) / 2
}

/** Cubic through the four tabled rates around this one. */
function atRate(dropletGPerMin: number, value: (rate: number) => number): number {
  const place = (Math.log(dropletGPerMin) - LOWEST_LN) / STEP_LN
  const first = Math.max(0, Math.min(RATES - 4, Math.floor(place) - 1))
  const x = place - first
  return (
    (value(first) * (x - 1) * (x - 2) * (x - 3)) / -6 +
    (value(first + 1) * x * (x - 2) * (x - 3)) / 2 +
    (value(first + 2) * x * (x - 1) * (x - 3)) / -2 +
    (value(first + 3) * x * (x - 1) * (x - 2)) / 6
  )
}
