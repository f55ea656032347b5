import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { runCommand } from '../../test/support/terminal.ts'
import { calculation } from '../clinical/calculation.ts'
import { answer, fault } from './answer.ts'
import { CALCULATIONS } from './calculations.ts'
import { work } from './commands/work.ts'

function ask(name: string, input: unknown): { readonly error?: Record<string, unknown> } {
  const found = CALCULATIONS.find((each) => each.name === name)
  if (!found) throw new Error(`no calculation is called ${name}`)
  return answer(found, input, false) as { readonly error?: Record<string, unknown> }
}

const LONG = 'x'.repeat(100_000)

describe('what a refusal says', () => {
  it.each<[string, object, object]>([
    [
      'cylinder',
      { size: 'E', psi: 'NaN', flow_Lmin: 2 },
      { field: 'psi', given: 'NaN', allowed: '0 to 3000 psi' },
    ],
    ['forecast', { fill_mL: null }, { field: 'fill_mL', given: null, allowed: '1 to 10 mL' }],
    [
      'vital-ranges',
      {},
      { field: 'age_years', what: 'missing; a finite number is needed', allowed: '0 to 120 a' },
    ],
    [
      'calibrate',
      { runs: [{ fill_mL: 3, Q_Lmin: [8], minutes: 7 }] },
      {
        field: 'runs.0.Q_Lmin',
        given: [8],
        what: 'a finite number is needed, not a list',
        allowed: '4 to 12 L/min',
      },
    ],
    [
      'peak-flow-repeatability',
      { blows: [300, '310', 320] },
      { field: 'blows.1', given: '310', allowed: 'whole numbers of L/min, 1 to 1000' },
    ],
    ['news2', { gas: 'helium' }, { field: 'gas', given: 'helium', what: 'one of: air, oxygen' }],
    [
      'dose',
      { kind: 'magic' },
      { field: 'kind', given: 'magic', what: expect.stringContaining('one of: percent-to-mg-per-mL, ') },
    ],
    [
      'prn-available',
      { lastGivenAt: null },
      { field: 'minimumGapMinutes', what: 'missing; a finite number is needed' },
    ],
    ['order-review', { order: 1 }, { field: 'order', what: 'an object with fields is needed, not 1' }],
    [
      'course-day',
      { medicineId: 'albuterol', given: '' },
      { field: 'given', what: 'a list is needed, not text' },
    ],
    [
      'course-day',
      { medicineId: 'albuterol', given: ['-5 %'], at: '2026-01-01T12:00:00Z' },
      { field: 'given.0', given: '-5 %', what: expect.stringMatching(/^an instant with its offset/) },
    ],
    [
      'daily-total',
      { history: [{ at: '2026-01-01T12:00' }] },
      { field: 'history.0.at', given: '2026-01-01T12:00', what: expect.stringMatching(/^an instant/) },
    ],
    [
      'order-review',
      { order: { startAt: '2026-02-30T12:00:00Z' } },
      { field: 'order.startAt', what: expect.stringMatching(/^an instant/) },
    ],
    [
      'element-string',
      { raw: '01', today: '10 March' },
      { field: 'today', what: 'a day, such as 2026-03-10' },
    ],
    ['hypercapnic-risk', { at_risk: 'yes' }, { field: 'at_risk', what: 'true or false is needed, not text' }],
  ])('%s %j names field, value, and what may stand there', (name, input, complaint) => {
    expect(ask(name, input).error?.fields).toContainEqual(expect.objectContaining(complaint))
  })

  it('tells no range where the calculation asks after another field first', () => {
    const { fields } = ask('cylinder', { size: 'Z', psi: 2000, flow_Lmin: '2' }).error as { fields: object[] }
    expect(fields).toEqual([
      {
        field: 'flow_Lmin',
        given: '2',
        what: 'a finite number is needed, not text',
        allowed: '0.1 to 60 L/min',
      },
    ])
    const shadowed = ask('cylinder', { size: 'Z', psi: '2000', flow_Lmin: 2 }).error as { fields: object[] }
    expect(shadowed.fields).toEqual([
      { field: 'psi', given: '2000', what: 'a finite number is needed, not text' },
    ])
  })

  it.each<[string, object]>([
    ['dose', { kind: 'volume-to-mg', strength: LONG, volume_mL: 1 }],
    ['dose', { kind: LONG }],
    ['news2', { spo2: LONG }],
    ['news2', { spo2: Array(100_000).fill(1) }],
    ['news2', { [LONG]: 1 }],
    ['mixture', { a: LONG, b: 'albuterol' }],
    ['stop-rules', { phase: 'during', limits: { [LONG]: 1 } }],
  ])('%s cuts what nobody would read to the end, and says how long it was', (name, input) => {
    const told = JSON.stringify(ask(name, input))
    expect(told.length).toBeLessThan(3000)
    expect(told).toMatch(/x{90}… \(10\d{4} characters\)|\(200001 characters\)/)
  })

  it('says why nothing published is known of a device', () => {
    expect(ask('forecast', { cup: 'breath-actuated' }).error).toMatchObject({
      kind: 'NoPublishedData',
      field: 'cup',
      why: expect.stringMatching(/no published output/),
      message: expect.stringMatching(/^cup is breath-actuated; allowed: jet, mesh\. It makes mist/),
    })
  })

  it('blames the field that holds the figure', () => {
    const asked = (strength: string) => ask('dose', { kind: 'volume-to-mg', strength, volume_mL: 2 }).error
    expect(asked('5 mg/0 mL')).toMatchObject({ field: 'strength', given: '5 mg/0 mL' })
    expect(asked('1:0')).toMatchObject({ field: 'strength', given: '0' })
    expect(asked('0 %')).toMatchObject({ field: 'strength', given: '0' })
  })
})

describe('a fault of the program', () => {
  it('over one input stands in its place, and the rest is answered', async () => {
    const broken = calculation({
      name: 'broken',
      purpose: 'falls over',
      input: z.strictObject({ divisor: z.number() }),
      run: ({ divisor }) => {
        if (divisor === 0) throw new TypeError('no such thing')
        return { result: 1 / divisor, working: { steps: [], sources: [], cautions: [] } }
      },
    })
    expect(() => answer(broken, { divisor: 0 }, false)).toThrow('no such thing')
    expect(fault(new TypeError('no such thing'))).toMatchObject({
      error: { kind: 'fault', message: expect.stringMatching(/no such thing.*report it with the input/) },
    })
    const every = CALCULATIONS as (typeof broken)[]
    every.push(broken as never)
    try {
      const { exit, said } = await runCommand(work, ['broken'], {
        stdin: '[{"divisor":2},{"divisor":0},{"divisor":4}]',
      })
      expect(exit).toBe(3)
      expect(JSON.parse(said)).toEqual([
        { result: 0.5 },
        { error: expect.objectContaining({ kind: 'fault' }) },
        { result: 0.25 },
      ])
    } finally {
      every.pop()
    }
  })

  it('is none for a unit that every object has a part of that name for', () => {
    const medicine = {
      medicineId: 'albuterol',
      text: 'albuterol',
      amountMin: 2.5,
      amountMax: null,
      part: 'medicine',
    }
    const order = (unit: string) => ({
      medicines: [{ ...medicine, unit }],
      route: 'INH',
      frequency: { code: 'Q4H', everyMinutes: 240 },
      priority: 'routine',
      prn: null,
      indication: 'wheeze',
      prescriber: { id: '7', name: 'A. Prescriber' },
      startAt: '2026-01-01T12:00:00Z',
      endAt: null,
      acute: false,
    })
    for (const unit of ['constructor', '__proto__', 'toString'])
      expect(() =>
        ask('planned-total', { orders: [order(unit)], ageDays: 20_000, weightKg: 70 }),
      ).not.toThrow()
  })
})
