import { stringify } from 'csv-stringify/sync'
import type { Chart } from '../chart/folds/chart.ts'
import { termsAt } from '../chart/folds/order.ts'
import { runElapsedMs } from '../chart/folds/run.ts'

/** Visits, measurements and doses not given as CSV, one row each. Cells that begin like a formula are guarded. */
export function flatTables(chart: Chart): Readonly<Record<string, string>> {
  const visits = chart.visits()
  return {
    'visits.csv': table(
      [
        'visit',
        'patient',
        'order',
        'title',
        'dose_at',
        'opened_at',
        'by',
        'started_at',
        'ended_at',
        'run_minutes',
        'how',
        'left_ml',
        'signed_at',
        'cosigned',
      ],
      visits.map((visit) => {
        const order = chart.order(visit.orderId)
        return [
          visit.visitId,
          visit.patientId,
          visit.orderId,
          order ? termsAt(order, visit.opened.at).title : '',
          visit.doseAt ?? '',
          visit.opened.at,
          visit.opened.by.personId,
          visit.run.startedAt ?? '',
          visit.run.endedAt ?? '',
          visit.run.endedAt === null ? '' : (runElapsedMs(visit.run, visit.run.endedAt) / 60_000).toFixed(2),
          visit.ended?.body.how ?? '',
          visit.ended?.body.leftMl ?? '',
          visit.note?.signed.at ?? '',
          visit.note?.cosigned?.body.printedName ?? '',
        ]
      }),
    ),
    'measurements.csv': table(
      [
        'visit',
        'at',
        'when',
        'heart_rate_per_min',
        'respiratory_rate_per_min',
        'spo2_percent',
        'oxygen',
        'peak_flow_l_per_min',
      ],
      visits.flatMap((visit) =>
        visit.measured.map(({ at, body: { when, values } }) => [
          visit.visitId,
          at,
          when,
          values.heartRatePerMin ?? '',
          values.respiratoryRatePerMin ?? '',
          values.spo2Percent ?? '',
          values.spo2On?.device ?? '',
          values.peakFlowLPerMin ? Math.max(...values.peakFlowLPerMin) : '',
        ]),
      ),
    ),
    'not-given.csv': table(
      ['patient', 'order', 'dose_at', 'at', 'by', 'reason', 'next', 'note'],
      [...chart.facts()].flatMap((fact) =>
        fact.kind === 'dose-not-given'
          ? [
              [
                fact.about.patientId ?? '',
                fact.about.orderId ?? '',
                fact.body.doseAt ?? '',
                fact.happenedAt,
                fact.by.personId,
                fact.body.reason,
                fact.body.next,
                fact.body.note,
              ],
            ]
          : [],
      ),
    ),
  }
}

function table(header: readonly string[], rows: readonly (readonly (string | number)[])[]): string {
  return stringify([header, ...rows.map((row) => row.map(guarded))].map((row) => [...row]))
}

/** A text that a spreadsheet would run is made a text again. Numbers of ours stay numbers. */
function guarded(cell: string | number): string | number {
  return typeof cell === 'string' && /^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell
}
