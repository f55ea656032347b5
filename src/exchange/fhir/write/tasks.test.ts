import { expect, it } from 'vitest'
import { line, order, Ward } from '../../../../test/support/ward.ts'
import { STANDARD_TIMES } from '../../../chart/documents/standard-times.ts'
import { WINDOWS } from '../../../chart/documents/windows.ts'
import { checkResource } from '../check-resource.ts'
import { writeTasks } from './tasks.ts'

it('a dose that a change of clock set on another says so in its note, and no other does', () => {
  const startAt = '2026-03-05T12:00:00.000Z'
  const frequency = { code: 'BID', standardTimes: false, statedTimes: ['02:00', '03:00'] }
  const { chart } = new Ward().order(
    'o',
    order([line('albuterol', 2.5, 'mg')], { frequency, startAt }),
    startAt,
  )
  const rules = {
    standardTimes: STANDARD_TIMES.defaults,
    windows: WINDOWS.defaults,
    timeZone: 'America/Chicago', // IANA time zone data: UTC-6, from 8 March 2026 08:00Z UTC-5
  }
  const now = '2026-03-07T12:00:00.000Z'
  const span = { from: now, to: '2026-03-09T12:00:00.000Z' }
  const context = { chart, facility: 'marrowby', now, rules }
  const tasks = writeTasks(context, chart.orders(), span, () => [])
  const notes = tasks.map(({ restriction, note }) => [
    restriction?.period?.start,
    note?.map(({ text }) => text),
  ])
  expect(notes).toEqual([
    [
      '2026-03-08T07:00:00.000Z',
      [expect.stringMatching(/one dose stands there for two\. Ask the prescriber/)],
    ],
    ['2026-03-09T06:00:00.000Z', undefined],
    ['2026-03-09T07:00:00.000Z', undefined],
  ])
  expect(tasks.flatMap((task) => checkResource(task))).toEqual([])
})
