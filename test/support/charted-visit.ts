import { Chart } from '../../src/chart/folds/chart.ts'
import type { AnyFact, BodyOf } from '../../src/chart/registry.ts'
import { TestWriter } from './facts.ts'

type Charted = {
  readonly visitId: string
  readonly startedAt: string
  readonly minutes: number
  readonly how?: 'finished' | 'stopped'
  readonly leftMl?: number | null
  readonly setUp?: Partial<BodyOf<'set-up-chosen'>>
  readonly fillMl?: number
}

const SET_UP: BodyOf<'set-up-chosen'> = {
  cupId: 'tee-jet',
  interface: 'mouthpiece',
  gas: 'air',
  flowLPerMin: 8,
  reservoirMl: 50,
  position: 'sitting up',
  cannulaStaysOn: false,
  forecast: null,
  againstAdvice: [],
}

/** Albuterol, 2.5 mg made up with saline to a fill. */
export function preparedBody(fillMl: number): BodyOf<'prepared'> {
  const drug = { medicineId: 'albuterol', productId: null, text: 'albuterol', amount: 2.5, unit: 'mg' }
  return {
    portions: [{ ...drug, volumeMl: fillMl, part: 'medicine' }],
    totalMl: fillMl,
    targetFillMl: fillMl,
    answered: [],
  }
}

/** The facts of a visit's run: made up, set up, started, ended. */
export function chartedVisit(charted: Charted, seed: number): AnyFact[] {
  const { visitId, startedAt, minutes, how = 'finished', leftMl = null, setUp = {}, fillMl = 4 } = charted
  const writer = new TestWriter(startedAt, seed)
  const about = { patientId: 'p1', orderId: 'o1', visitId }
  const facts: AnyFact[] = [
    writer.write('visit-opened', about, { doseAt: null }),
    writer.write('prepared', about, preparedBody(fillMl)),
    writer.write('set-up-chosen', about, { ...SET_UP, ...setUp }),
    writer.write('treatment-started', about, { alongside: [] }),
  ]
  writer.at = new Date(Date.parse(startedAt) + minutes * 60_000).toISOString()
  facts.push(writer.write('treatment-ended', about, { how, leftMl, given: [], told: '', next: '' }))
  return facts
}

/** A chart with so many runs of `minutes`, one an hour. */
export function chartOfRuns(minutes: readonly number[], one: Partial<Charted> = {}): Chart {
  return new Chart().add(
    minutes.flatMap((each, i) => {
      const startedAt = new Date(Date.parse('2026-03-10T00:00:00.000Z') + i * 3_600_000).toISOString()
      return chartedVisit(
        { ...one, visitId: `v${String(i).padStart(3, '0')}`, startedAt, minutes: each },
        i + 1,
      )
    }),
  )
}
