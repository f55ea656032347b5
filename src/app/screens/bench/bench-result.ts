import type { Calibration } from '../../../clinical/aerosol/calibrate.ts'
import { explainForecast } from '../../../clinical/aerosol/explain-forecast.ts'
import { FIGURES, type FigureName } from '../../../clinical/aerosol/figures.ts'
import { type CurvePoint, type Forecast, forecast } from '../../../clinical/aerosol/forecast.ts'
import type { Setup } from '../../../clinical/aerosol/setup.ts'
import type { Worked } from '../../../clinical/worked.ts'
import { BadInput } from '../../../clinical/worked.ts'
import type { BenchPatient, BenchSetup } from './bench-state.ts'
import { type DosePart, doseParts } from './dose-parts.ts'
import { lazyWorked } from './lazy-worked.ts'
import { oxygenFigure } from './oxygen-figure.ts'
import { refusalWords } from './refusal-words.ts'

/** A figure with its working, or why there is none. */
export type Cell = { readonly worked: Worked } | { readonly why: string }

export type BenchResult =
  | { readonly ok: false; readonly why: string }
  | {
      readonly ok: true
      readonly cells: Readonly<Record<RowName, Cell>>
      readonly cautions: readonly string[]
      readonly parts: readonly DosePart[]
      readonly curves: readonly CurvePoint[]
      /** Runs charted here that the cup's figures rest on. */
      readonly runsHere: number
    }

export type RowName = 'minutesToEnd' | 'leavesCupMg' | 'lungMg' | 'oxygen'

/** What the bench needs to know of a cup of the hospital's. */
export type BenchCup = {
  readonly id: string
  readonly name: string
  readonly kind: string
  readonly modelCupTypeId: string | null
  readonly maximumFillMl: number
  readonly ratedFlowLPerMin: { readonly low: number; readonly high: number } | null
}

/** What one set-up does for this patient, or why it cannot be forecast. Made at every move of a dial.
 * `calibration` is what this hospital's own runs say about the cup. */
export function benchResult(
  setup: BenchSetup,
  patient: BenchPatient,
  cup: BenchCup,
  calibration?: Calibration,
): BenchResult {
  const asked = toForecast(setup, patient, cup, calibration)
  try {
    const made = forecast(asked)
    return {
      ok: true,
      cells: {
        minutesToEnd: cell(asked, made, 'minutesToEnd'),
        leavesCupMg: cell(asked, made, 'leavesCupMg'),
        lungMg: cell(asked, made, 'lungMg'),
        oxygen: oxygenFigure(setup, patient, cup.ratedFlowLPerMin !== null),
      },
      cautions: [...made.cautions, ...ratedFlowCautions(setup, cup)],
      parts: doseParts(made.figures, setup.breathesBy),
      curves: made.curves,
      runsHere: made.runsHere,
    }
  } catch (error) {
    if (error instanceof BadInput) return { ok: false, why: refusalWords(error, cup.name) }
    throw error
  }
}

function toForecast(
  setup: BenchSetup,
  patient: BenchPatient,
  cup: BenchCup,
  calibration: Calibration | undefined,
): Setup {
  const { interface: used, distanceCm, mask } = setup
  // Without a driving gas the gas that was chosen says nothing, and must bring no caution of its own.
  const gas = cup.ratedFlowLPerMin === null ? 'air' : setup.gas
  return {
    cup: {
      kind: cup.modelCupTypeId ?? cup.kind,
      ...(cup.modelCupTypeId !== null && { capacityMl: cup.maximumFillMl }),
      ...(cup.modelCupTypeId === 'jet' && { calibration }),
    },
    medicine: { doseMg: patient.doseMg, form: patient.form },
    fillMl: setup.fillMl,
    gas: { kind: gas, flowLPerMin: setup.flowLPerMin, relativeHumidity: 0 },
    room: { temperatureCel: patient.roomCel, pressurePa: Math.round(patient.pressureKPa * 1000) },
    breath: {
      tidalMl: patient.tidalMl,
      ratePerMin: patient.ratePerMin,
      inspiration: 1,
      expiration: patient.outPerIn,
    },
    breathesBy: setup.breathesBy,
    body: patient.weightKg === null ? { kind: 'adult' } : { kind: 'child', weightKg: patient.weightKg },
    lungs: patient.lungs,
    interface: used === 'mask held off' ? { kind: used, distanceCm, mask } : { kind: used },
    reservoirMl: setup.reservoirMl,
  }
}

function ratedFlowCautions({ flowLPerMin }: BenchSetup, { ratedFlowLPerMin: rated }: BenchCup): string[] {
  if (!rated || (flowLPerMin >= rated.low && flowLPerMin <= rated.high)) return []
  return [`This cup is made for ${rated.low} to ${rated.high} L/min.`]
}

function cell(asked: Setup, made: Forecast, name: FigureName): Cell {
  const ends = made.figures[name]
  if (!ends) return { why: made.notKnown.find((gap) => gap.figures.includes(name))?.why ?? 'Not known.' }
  const { low, likely, high } = ends
  const shown = {
    value: likely,
    unit: FIGURES[name].unit,
    spread: { low, high },
    ...(name === 'lungMg' && !made.promisesDose && { caution: made.cautions.join(' ') }),
  }
  return { worked: lazyWorked(shown, () => explained(asked, made, name)) }
}

function explained(asked: Setup, made: Forecast, name: FigureName): Worked {
  const worked = explainForecast(asked, made)[name]
  if (!worked) throw new Error(`${name} has a figure and no working`)
  return worked
}
