import { BREATHING_PATTERNS } from '../src/clinical/aerosol/breath.ts'
import type { Setup } from '../src/clinical/aerosol/setup.ts'

/** An adult on a mouthpiece with a tube: the set-up that others are told apart from. */
export const ADULT: Setup = {
  cup: { kind: 'jet' },
  medicine: { doseMg: 2.5, form: 'solution' },
  fillMl: 3,
  gas: { kind: 'air', flowLPerMin: 8, relativeHumidity: 0 },
  room: { temperatureCel: 22, pressurePa: 101_325 },
  breath: BREATHING_PATTERNS['adult standard'],
  breathesBy: 'mouth',
  body: { kind: 'adult' },
  lungs: 'healthy',
  interface: { kind: 'mouthpiece' },
  reservoirMl: 50,
}

/** Set-ups as different as a ward has them, for speed and for comparison with the plain forecast. */
export const SETUPS: readonly Setup[] = [
  ADULT,
  { ...ADULT, fillMl: 4, gas: { kind: 'oxygen', flowLPerMin: 6, relativeHumidity: 0 }, reservoirMl: 100 },
  { ...ADULT, fillMl: 6, gas: { kind: 'air', flowLPerMin: 10, relativeHumidity: 0.5 }, reservoirMl: 0 },
  {
    ...ADULT,
    fillMl: 5,
    gas: { kind: 'heliox 70/30', flowLPerMin: 10, relativeHumidity: 0 },
    interface: { kind: 'mask' },
    breathesBy: 'nose',
    reservoirMl: 0,
  },
  {
    ...ADULT,
    breath: BREATHING_PATTERNS.child,
    body: { kind: 'child', weightKg: 16 },
    interface: { kind: 'mask' },
    reservoirMl: 0,
    lungs: 'obstructed',
  },
  {
    ...ADULT,
    breath: { tidalMl: 350, ratePerMin: 28, inspiration: 1, expiration: 3 },
    cup: { kind: 'jet', droplets: { mmadUm: 4.2, gsd: 2.1 } },
    reservoirMl: 150,
  },
]
