import { BREATHING_PATTERNS, forecast, type GasKind } from '../../clinical/aerosol/index.ts'
import type { Seeded } from './seeded.ts'

/** Spread of one run around its forecast, in the logarithm of the time: that which learning from runs starts from. */
const SCATTER = 0.1
/** A logistic law of standard deviation one is this much narrower than one of scale one. */
const LOGISTIC = Math.sqrt(3) / Math.PI

const likely = new Map<string, number>()

/** What a small jet cup needs for a fill until the first sputter, by the forecast [min]. */
export function likelyRunMinutes(fillMl: number, gas: GasKind, flowLPerMin: number): number {
  const key = [fillMl, gas, flowLPerMin].join()
  const known = likely.get(key) ?? forecastMinutes(fillMl, gas, flowLPerMin)
  likely.set(key, known)
  return known
}

/**
 * Minutes of one invented run: the forecast, spread as runs of one cup are. Draws one number.
 * @throws BadInput for a fill or a flow that cannot be forecast
 */
export function runMinutes(fillMl: number, gas: GasKind, flowLPerMin: number, seeds: Seeded): number {
  const u = 0.001 + 0.998 * seeds.next()
  return likelyRunMinutes(fillMl, gas, flowLPerMin) * Math.exp(SCATTER * LOGISTIC * Math.log(u / (1 - u)))
}

function forecastMinutes(fillMl: number, kind: GasKind, flowLPerMin: number): number {
  const { figures } = forecast({
    cup: { kind: 'jet' },
    medicine: { doseMg: 2.5, form: 'solution' },
    fillMl,
    gas: { kind, flowLPerMin, relativeHumidity: 0 },
    room: { temperatureCel: 22, pressurePa: 101_325 },
    breath: BREATHING_PATTERNS['adult standard'],
    breathesBy: 'mouth',
    body: { kind: 'adult' },
    lungs: 'healthy',
    interface: { kind: 'mouthpiece' },
    reservoirMl: 0,
  })
  return figures.minutesToSputter?.likely ?? Number.NaN
}
