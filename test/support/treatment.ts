import type { AnyFact, BodyOf } from '../../src/chart/registry.ts'
import type { TestWriter } from './facts.ts'

export type Treatment = { readonly patientId: string; readonly orderId: string; readonly visitId: string }

/** A visit that was begun and measured at 11:04 of the tenth of March. */
export function begun(writer: TestWriter, about: Treatment, heartRatePerMin = 88): AnyFact[] {
  writer.at = '2026-03-10T11:00:00.000Z'
  const opened = writer.write('visit-opened', about, { doseAt: '2026-03-10T11:00:00.000Z' })
  writer.at = '2026-03-10T11:04:00.000Z'
  return [opened, measured(writer, about, heartRatePerMin)]
}

export function measured(writer: TestWriter, about: Treatment, heartRatePerMin: number): AnyFact {
  const values = { heartRatePerMin, spo2Percent: 93 }
  return writer.write('measured', about, { when: 'before', values, notMeasured: [], confirmedOdd: [] })
}

/** Given from 11:06 to 11:14. */
export function given(writer: TestWriter, about: Treatment): AnyFact[] {
  writer.at = '2026-03-10T11:06:00.000Z'
  const started = writer.write('treatment-started', about, { alongside: [] })
  writer.at = '2026-03-10T11:14:00.000Z'
  const medicine = { medicineId: 'albuterol', text: 'albuterol', nominal: 2.5, outOfCup: 1.75, unit: 'mg' }
  const end = { how: 'finished' as const, leftMl: null, given: [medicine], told: '', next: '' }
  return [started, writer.write('treatment-ended', about, end)]
}

export const SIGNATURE = { printedName: 'Amsel Brandt, RRT', contentHash: 'a'.repeat(64), covers: [] }

export function signed(writer: TestWriter, about: Treatment): AnyFact {
  writer.at = '2026-03-10T11:19:00.000Z'
  return writer.write('note-signed', about, { composed: 'c', text: 't', meaning: 'gave', ...SIGNATURE })
}

/** A whole treatment, given and signed. */
export function treated(writer: TestWriter, about: Treatment, heartRatePerMin = 88): AnyFact[] {
  return [...begun(writer, about, heartRatePerMin), ...given(writer, about), signed(writer, about)]
}

export const DECLINED: BodyOf<'dose-not-given'> = {
  doseAt: '2026-03-10T11:00:00.000Z',
  reason: 'declined by patient',
  note: 'wants to sleep',
  next: 'try again later',
  told: '',
}
