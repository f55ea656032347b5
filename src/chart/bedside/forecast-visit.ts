import { type Calibration, explainForecast, forecast, type Setup } from '../../clinical/aerosol/index.ts'
import { BadInput, type Worked } from '../../clinical/worked.ts'
import type { Cups } from '../documents/cups.ts'
import type { Measurements } from '../facts/measurements.ts'
import { COMPRESSOR_HUMIDITY, USUAL_ROOM } from '../folds/charted-runs.ts'
import type { PatientState } from '../folds/patient.ts'
import { ageAt } from '../folds/patient.ts'
import type { BodyOf } from '../registry.ts'
import { type CylinderView, cylinderVisit } from './cylinder-visit.ts'
import { type Known, oxygenVisit } from './oxygen-visit.ts'
import type { SetUpChoice } from './set-up-choice.ts'

type Prepared = BodyOf<'prepared'>
/** What a set-up will do, as far as it can be forecast. */
export type VisitForecast =
  | {
      readonly ok: true
      readonly runMinutes: Worked
      readonly leavesCupMg: Worked | null
      readonly reachesLungMg: Worked | null
      /** Inspired oxygen during the run [%], a range, or why it is not known. */
      readonly inspiredOxygen: Known
      readonly cylinder: CylinderView
      readonly runsHere: number
      readonly cautions: readonly string[]
      /** Medicine out of the cup over the likely run, scaled to both ends, for the timer's curve. */
      readonly curve: readonly {
        readonly minutes: number
        readonly low: number
        readonly likely: number
        readonly high: number
      }[]
    }
  | { readonly ok: false; readonly why: string }

/** Breathing by age in years, from the patterns by which nebulizers are tested. */
function breathOf(ageYears: number): Setup['breath'] {
  if (ageYears < 1 / 12) return { tidalMl: 25, ratePerMin: 40, inspiration: 1, expiration: 3 }
  if (ageYears < 2) return { tidalMl: 50, ratePerMin: 30, inspiration: 1, expiration: 3 }
  if (ageYears < 12) return { tidalMl: 155, ratePerMin: 25, inspiration: 1, expiration: 2 }
  return { tidalMl: 500, ratePerMin: 15, inspiration: 1, expiration: 1 }
}

const OBSTRUCTED = ['copd', 'asthma', 'bronchiolitis', 'bronchiectasis', 'cystic fibrosis']
const SUSPENSIONS = ['budesonide']
/** Milligrams in a unit; the forecast counts in them. */
const MG_IN: Readonly<Record<string, number>> = { mg: 1, mcg: 0.001 }

/** What the forecast of a visit rests on, besides the choice itself. */
export type ForecastParts = {
  readonly prepared: Prepared | null
  readonly patient: PatientState
  readonly before: Measurements
  readonly cups: Cups
  /** What this hospital's runs say about a model of cup; nothing where it has none. */
  readonly calibration: (cupId: string) => Calibration | undefined
  readonly now: string
}

/** Forecasts a visit's set-up; where it cannot, says why and gives no figure. */
export function forecastVisit(choice: SetUpChoice, parts: ForecastParts): VisitForecast {
  const { prepared, cups } = parts
  const cup = cups.cups.find(({ id }) => id === choice.cupId)
  if (!cup || !prepared) return { ok: false, why: 'The cup is not made up yet.' }
  try {
    const setup = setupOf(choice, prepared, cup, parts)
    const made = forecast(setup)
    const explained = explainForecast(setup, made)
    const run = explained.minutesToSputter
    if (!run)
      return {
        ok: false,
        why: made.notKnown.map(({ why }) => why).join(' ') || 'No run time is known for it.',
      }
    return {
      ok: true,
      runMinutes: run,
      leavesCupMg: explained.leavesCupMg ?? null,
      reachesLungMg: explained.lungMg ?? null,
      inspiredOxygen: oxygenVisit(choice, parts.before, setup),
      cylinder: cylinderVisit(
        choice.supply,
        choice.flowLPerMin,
        explained.minutesToEnd?.spread?.high ?? null,
      ),
      runsHere: made.runsHere,
      cautions: made.cautions,
      curve: curveOf(made),
    }
  } catch (error) {
    if (error instanceof BadInput)
      return { ok: false, why: 'why' in error ? String(error.why) : `${error.message}.` }
    throw error
  }
}

function setupOf(
  choice: SetUpChoice,
  prepared: Prepared,
  cup: Cups['cups'][number],
  { patient, calibration, now }: ForecastParts,
): Setup {
  const years = ageAt(patient.dob, now)?.years ?? 40
  const medicines = prepared.portions.filter(({ part }) => part === 'medicine')
  const doseMg = medicines.reduce(
    (sum, { amount, unit }) => sum + (amount ?? 0) * (MG_IN[unit ?? ''] ?? Number.NaN),
    0,
  )
  if (!(doseMg > 0)) throw new BadInput('dose', doseMg, 'an amount in mg or mcg')
  const nose = choice.interface === 'mask' || choice.interface === 'mask held off'
  return {
    cup: {
      kind: cup.modelCupTypeId ?? cup.kind,
      capacityMl: cup.maximumFillMl,
      calibration: cup.modelCupTypeId === 'jet' ? calibration(cup.id) : undefined,
    },
    medicine: {
      doseMg,
      form: medicines.some(({ medicineId }) => SUSPENSIONS.includes(medicineId)) ? 'suspension' : 'solution',
    },
    fillMl: prepared.totalMl,
    gas: {
      kind: choice.gas === 'heliox' ? 'heliox 80/20' : choice.gas,
      flowLPerMin: choice.flowLPerMin,
      relativeHumidity: choice.supply?.from === 'compressor' ? COMPRESSOR_HUMIDITY : 0,
    },
    room: { temperatureCel: USUAL_ROOM.roomCel, pressurePa: USUAL_ROOM.pressurePa },
    breath: breathOf(years),
    breathesBy: nose ? 'nose' : 'mouth',
    body:
      years >= 16 || patient.weightKg === null
        ? { kind: 'adult' }
        : { kind: 'child', weightKg: patient.weightKg },
    lungs: patient.conditions.some(({ code }) => OBSTRUCTED.includes(code)) ? 'obstructed' : 'healthy',
    interface:
      choice.interface === 'mask held off'
        ? { kind: 'mask held off', distanceCm: 2, mask: 'standard' }
        : { kind: choice.interface },
    reservoirMl: choice.reservoirMl,
  }
}

function curveOf({
  curves,
  figures,
}: ReturnType<typeof forecast>): Extract<VisitForecast, { ok: true }>['curve'] {
  const total = figures.leavesCupMg
  if (!total || total.likely <= 0) return []
  let out = 0
  return curves.map((point, index) => {
    const before = curves[index - 1]
    if (before) out += ((before.leavesMgPerMin + point.leavesMgPerMin) / 2) * (point.minutes - before.minutes)
    const share = out / total.likely
    return { minutes: point.minutes, likely: out, low: share * total.low, high: share * total.high }
  })
}
