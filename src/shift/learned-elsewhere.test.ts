import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { DAY, Ward } from '../../test/support/shift-ward.ts'
import { Chart } from '../chart/folds/chart.ts'
import { chartedRuns, type PastRun, pastRun } from '../chart/folds/charted-runs.ts'
import { learnTimes } from './learned-times.ts'
import { type PastStay, pastStay } from './past-stay.ts'

const NOW = '2026-03-11T12:00:00.000Z'
const PATIENTS = ['p0', 'p1', 'p2', 'p3']
const ISOLATION = [[], ['CON'], ['AIR'], []]

/** A visit of one of four patients, some in isolation: minutes of its run and of all the rest. */
type Given = { patient: number; hour: number; run: number; hands: number; stopped: boolean; signed: boolean }
const given = fc.array(
  fc.record({
    patient: fc.integer({ min: 0, max: 3 }),
    hour: fc.integer({ min: 0, max: 20 }),
    run: fc.integer({ min: 1, max: 30 }),
    hands: fc.integer({ min: 8, max: 40 }),
    stopped: fc.boolean(),
    signed: fc.boolean(),
  }),
  { minLength: 1, maxLength: 14 },
)

function wardOf(visits: readonly Given[]): Ward {
  const ward = new Ward()
  for (const [at, patientId] of PATIENTS.entries())
    ward.patient(patientId, 'EAST', { isolation: ISOLATION[at] ?? [] }).order(`o${at}`, patientId)
  for (const [at, { patient, hour, run, hands, stopped, signed }] of visits.entries()) {
    const openedAt = new Date(Date.parse(DAY.from) + hour * 3_600_000).toISOString()
    const about = { patientId: `p${patient}`, orderId: `o${patient}`, visitId: `v${at}` }
    ward.visit(about, openedAt, 'amsel', openedAt, {
      startedAfter: 6,
      endedAfter: 6 + run,
      stopped,
      ...(signed && { signedAfter: run + hands }),
    })
  }
  return ward
}

/** What a server would tell of these, as it arrives. */
function rowsOf(chart: Chart, documents: ReturnType<Ward['asking']>['documents']) {
  const rows = {
    stays: chart.visits().flatMap((visit) => pastStay(visit, chart, documents) ?? []),
    runs: chart.visits().flatMap((visit) => pastRun(visit) ?? []),
  }
  return JSON.parse(JSON.stringify(rows)) as { stays: PastStay[]; runs: PastRun[] }
}

const runsOf = (chart: Chart, told: readonly PastRun[] = []) =>
  chartedRuns(chart.visits(), 'tee-jet', NOW, told)

describe('learning from rows of past visits beside the visits that are held', () => {
  it('gives what learning from all visits gives, whoever holds which, some of them told as well', () => {
    fc.assert(
      fc.property(given, fc.subarray([0, 1, 2, 3]), fc.subarray([0, 1, 2, 3]), (visits, held, alsoTold) => {
        const ward = wardOf(visits)
        const { chart, documents } = ward.asking(NOW)
        const ofPatients = (many: readonly number[]) =>
          new Chart().add(
            ward.facts.filter(({ about }) => many.some((each) => about.patientId === `p${each}`)),
          )
        const tablet = ofPatients(held)
        const told = rowsOf(
          ofPatients([0, 1, 2, 3].filter((each) => !held.includes(each) || alsoTold.includes(each))),
          documents,
        )
        expect(learnTimes(tablet, documents, NOW, told.stays)).toEqual(learnTimes(chart, documents, NOW))
        expect(runsOf(tablet, told.runs)).toEqual(runsOf(chart))
      }),
      { numRuns: 60, seed: 20261126 },
    )
  })

  const MANY = Array.from({ length: 3 }, (_, at) => ({
    patient: 0,
    hour: at,
    run: 10,
    hands: 20,
    stopped: false,
    signed: true,
  }))

  it('goes by the own reading of a visit that is told otherwise, also when nothing is learned from it here', () => {
    const { chart, documents } = wardOf(MANY).asking(NOW)
    const told = rowsOf(chart, documents)
    const longer = {
      stays: told.stays.map((stay) => ({ ...stay, took: stay.took && { ...stay.took, runMs: 3_600_000 } })),
      runs: told.runs.map((run) => ({ ...run, runMs: 3_600_000 })),
    }
    expect(learnTimes(chart, documents, NOW, longer.stays)).toEqual(learnTimes(chart, documents, NOW))
    expect(runsOf(chart, longer.runs)).toEqual(runsOf(chart))

    const opened = new Chart().add([...chart.facts()].filter(({ kind }) => kind === 'visit-opened'))
    expect(learnTimes(opened, documents, NOW, longer.stays).counted).toBe(0)
    expect(runsOf(opened, longer.runs).runs).toEqual([])
    expect(learnTimes(new Chart(), documents, NOW, longer.stays).counted).toBe(3)
    expect(runsOf(new Chart(), longer.runs).runs).toHaveLength(3)
  })

  it('leaves out what is told of before the policy’s last days, and of what begins later than now', () => {
    const { chart, documents } = wardOf(MANY).asking(NOW)
    const [first, second, third] = rowsOf(chart, documents).stays
    if (!first || !second || !third) throw new Error('three visits were made')
    const days = documents['planning-policy'].content.learning.fromDays
    const old = new Date(Date.parse(NOW) - days * 86_400_000 - 1).toISOString()
    const stays = [{ ...first, openedAt: old }, { ...second, openedAt: '2026-03-11T12:00:00.001Z' }, third]
    expect(learnTimes(new Chart(), documents, NOW, stays).counted).toBe(1)
  })

  it('keeps to the newest four thousand of a long window, told or held', () => {
    const { chart, documents } = wardOf(MANY).asking(NOW)
    const [row] = rowsOf(chart, documents).stays
    if (!row?.took) throw new Error('the visit was whole')
    const { took } = row
    const stays = Array.from({ length: 4100 }, (_, at) => ({
      visitId: `t${at}`,
      openedAt: new Date(Date.parse(NOW) - (4100 - at) * 1000).toISOString(),
      took: { ...took, category: at < 100 ? 'AIR' : 'STD' },
    }))
    const times = learnTimes(chart, documents, NOW, stays)
    expect([times.counted, Object.keys(times.handsOn)]).toEqual([4000, ['STD']])
    expect(times).toEqual(learnTimes(new Chart(), documents, NOW, stays.slice(100)))
    expect(Object.keys(learnTimes(chart, documents, NOW, stays.slice(0, 200)).handsOn)).toEqual([
      'AIR',
      'STD',
    ])
  })
})
