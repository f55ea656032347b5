import type { BreathSound, LungZone, Measurements } from '../../chart/facts/measurements.ts'
import { LUNG_ZONES } from '../../chart/facts/measurements.ts'
import type { BodyOf } from '../../chart/registry.ts'
import type { Course, InventedPatient } from '../hospital/invented-patient.ts'
import type { Seeded } from './seeded.ts'

type MeasuredBody = BodyOf<'measured'>

/** What a treatment does to an invented patient: changes in heart rate, breaths, saturation, and peak flow in percent. */
const EFFECT: Readonly<
  Record<Course, { heart: number; breaths: number; spo2: number; peakPercent: number; clears: boolean }>
> = {
  'answers well': { heart: 6, breaths: -4, spo2: 2, peakPercent: 22, clears: true },
  'answers a little': { heart: 5, breaths: -2, spo2: 1, peakPercent: 8, clears: false },
  'does not answer': { heart: 4, breaths: 0, spo2: 0, peakPercent: 1, clears: false },
  'heart races': { heart: 16, breaths: -1, spo2: 0, peakPercent: 6, clears: false },
  steady: { heart: 3, breaths: -1, spo2: 0, peakPercent: 3, clears: false },
}

/** Resting figures by age in years, in the middle of what is usual. Invented data for the demo. */
function resting(ageYears: number): { heart: number; breaths: number; peak: number } {
  if (ageYears < 0.5) return { heart: 142, breaths: 44, peak: 0 }
  if (ageYears < 2) return { heart: 126, breaths: 34, peak: 0 }
  if (ageYears < 5) return { heart: 112, breaths: 28, peak: 0 }
  if (ageYears < 12) return { heart: 98, breaths: 24, peak: 190 }
  return { heart: 84, breaths: 20, peak: ageYears > 75 ? 180 : 260 }
}

/** Sets of measurements before and after one treatment; the patient gets better over the two days. */
export function courseOf(
  patient: InventedPatient,
  seeds: Seeded,
  daysIn: number,
): { before: MeasuredBody; after: MeasuredBody } {
  const ageYears = patient.ageDays / 365.25
  const rest = resting(ageYears)
  const effect = EFFECT[patient.course]
  const better = patient.course === 'does not answer' ? 0 : daysIn * 3
  const heart = rest.heart + seeds.whole(-3, 6) - Math.round(better / 2)
  const breaths = rest.breaths + seeds.whole(0, 4) - Math.round(better / 3)
  const low = patient.target ? 89 : 93
  const spo2 = Math.min(98, low + seeds.whole(0, 2) + Math.round(better / 4))
  const blows =
    ageYears >= 5 && patient.airway === undefined && rest.peak > 0
      ? rest.peak + better * 5 + seeds.whole(-10, 10)
      : null
  const wheezy = patient.course !== 'steady' || seeds.next() < 0.3
  const before = { heart, breaths, spo2, blows, wheezy }
  const after = {
    heart: heart + effect.heart + seeds.whole(-2, 3),
    breaths: Math.max(12, breaths + effect.breaths),
    spo2: Math.min(99, spo2 + effect.spo2),
    blows: blows === null ? null : Math.round(blows * (1 + effect.peakPercent / 100)) + seeds.whole(-6, 6),
    wheezy: wheezy && !effect.clears,
  }
  return { before: body('before', before, patient, seeds), after: body('after', after, patient, seeds) }
}

type State = { heart: number; breaths: number; spo2: number; blows: number | null; wheezy: boolean }

function body(when: 'before' | 'after', state: State, patient: InventedPatient, seeds: Seeded): MeasuredBody {
  const ageYears = patient.ageDays / 365.25
  const values: Measurements = {
    heartRatePerMin: state.heart,
    rhythm: patient.conditions.some(({ code }) => code === 'atrial fibrillation')
      ? 'known irregular'
      : 'regular',
    respiratoryRatePerMin: state.breaths,
    spo2Percent: state.spo2,
    spo2On: patient.oxygen ?? { device: 'room air' },
    breathSounds: sounds(state.wheezy),
    workOfBreathing: state.wheezy ? 'somewhat labored' : 'easy',
    ...(state.blows !== null && { peakFlowLPerMin: blowsAround(state.blows, seeds) }),
    ...(when === 'before' && {
      consciousness: 'alert' as const,
      ability:
        ageYears >= 5 && patient.airway === undefined
          ? ('follows and holds a mouthpiece' as const)
          : ('cannot follow' as const),
    }),
  }
  const why = ageYears < 5 ? 'under 5 years' : patient.airway ? 'not able to follow' : null
  return {
    when,
    values,
    notMeasured: state.blows === null && why ? [{ measure: 'peakFlow', why }] : [],
    confirmedOdd: [],
  }
}

function sounds(wheezy: boolean): Partial<Record<LungZone, BreathSound[]>> {
  const heard = (zone: LungZone): BreathSound[] =>
    wheezy ? (zone.includes('lower') ? ['diminished'] : ['wheeze on breathing out']) : ['clear']
  return Object.fromEntries(LUNG_ZONES.map((zone) => [zone, heard(zone)]))
}

function blowsAround(best: number, seeds: Seeded): number[] {
  return [best - seeds.whole(5, 25), best, best - seeds.whole(0, 15)].map((blow) =>
    Math.max(60, Math.round(blow / 5) * 5),
  )
}
