import { describe, expect, it } from 'vitest'
import { DOCUMENTS, hours, line, NOON, order, Ward } from '../../../test/support/ward.ts'
import { defaultFormularyDocument, formularyOf } from '../../clinical/medicine/index.ts'
import { STANDARD_TIMES } from '../documents/standard-times.ts'
import { WINDOWS } from '../documents/windows.ts'
import { dueDoseAt, dueDoses } from '../folds/doses.ts'
import { aheadOfTheDoor, atTheDoor } from './at-the-door.ts'
import { sinceTheDoor } from './since-the-door.ts'

const albuterol = line('albuterol', 2.5, 'mg')
const mg = (medicineId: string, amount: number) => ({ medicineId, amount, unit: 'mg' })

describe('too early', () => {
  const ward = (frequency: Parameters<typeof order>[1] = {}) =>
    new Ward().order('o', order([albuterol], frequency)).gave('o', hours(-1), [mg('albuterol', 2.5)])
  it('is asked, with the gap and its source', () => {
    const [finding] = ward().door('o').findings
    expect(finding).toMatchObject({
      code: 'too-early:albuterol',
      severity: 'ask',
      what: 'Albuterol: 60 min from the nearest dose; the shortest routine gap is 240 min.',
    })
    expect(finding?.sources.length).toBeGreaterThan(0)
  })
  it.each([
    ['stat', { priority: 'stat' as const }],
    ['every 119 min', { frequency: { code: 'X', everyMinutes: 119, standardTimes: false } }],
    ['an acute illness by the formulary’s words', { indication: 'acute bronchospasm' }],
  ])('goes by the acute gap for an order that is acute: %s', (_, more) => {
    expect(ward(more).found('o')).not.toContain('ask too-early:albuterol')
  })
  it('does not take an order for acute that the formulary does not', () => {
    const everyTwoHours = { frequency: { code: 'Q2H', everyMinutes: 120, standardTimes: false } }
    expect(ward(everyTwoHours).found('o')).toContain('ask too-early:albuterol')
  })
  it('counts a dose by another order, and one that another system charted by any route', () => {
    const other = new Ward()
      .order('o', order([albuterol]))
      .order('p', order([line('ipratropium-albuterol', 1, 'vial')]))
      .gave('p', hours(-2), [{ medicineId: 'ipratropium-albuterol', amount: 1, unit: 'vial' }])
    expect(other.found('o')).toContain('ask too-early:albuterol')
    const outside = new Ward()
      .order('o', order([albuterol]))
      .outside(hours(-2), { code: 'MED0101', amount: 2.5, unit: 'MG' })
    expect(outside.found('o')).toContain('ask too-early:albuterol')
    const refused = new Ward()
      .order('o', order([albuterol]))
      .outside(hours(-2), { code: 'MED0101', amount: 2.5, unit: 'MG', status: 'RE' })
    expect(refused.found('o')).toEqual([])
  })
})

describe('too much in 24 hours', () => {
  const day = (amount: number) =>
    [-20, -15, -10].reduce(
      (ward, at) => ward.gave('o', hours(at), [mg('albuterol', amount)]),
      new Ward().order('o', order([albuterol])),
    )
  it('is asked from the first hair above the maximum, and not at it', () => {
    expect(day(2.5).found('o')).toEqual([])
    expect(day(2.6).found('o')).toEqual(['ask over-24-hours:albuterol'])
  })
  it('reckons with the largest dose where a range is ordered', () => {
    const range = new Ward().order('o', order([line('albuterol', 2.5, 'mg', { amountMax: 5 })]))
    for (const at of [-20, -15, -10]) range.gave('o', hours(at), [mg('albuterol', 2.5)])
    expect(range.found('o')).toEqual(['ask over-24-hours:albuterol'])
  })
  it('reads every spelling of a unit that can mean one thing', () => {
    const ward = new Ward().order('o', order([line('albuterol', 2500, 'micrograms')]))
    for (const at of [-20, -15, -10])
      ward.gave('o', hours(at), [{ medicineId: 'albuterol', amount: 0.0026, unit: 'grams' }])
    expect(ward.found('o')).toEqual(['ask over-24-hours:albuterol'])
  })
  it('reads a dose in mL by the container that it came from', () => {
    const bottle = { medicineId: 'albuterol', amount: 0.5, unit: 'mL', productId: 'albuterol-4' }
    const ward = new Ward().order('o', order([albuterol]))
    for (const at of [-20, -15, -10, -5]) ward.gave('o', hours(at), [bottle])
    expect(ward.found('o')).toEqual(['ask over-24-hours:albuterol'])
  })
})

describe('what could not be checked', () => {
  it.each([
    ['a medicine that the formulary does not know', line(null, 2.5, 'mg'), /does not know/],
    ['a dose that is not said', line('albuterol', null, 'mg'), /does not say the dose/],
    ['a unit that cannot be read', line('albuterol', 2, 'puffs'), /cannot be read: puffs/],
    ['no unit', line('albuterol', 2, null), /none is given/],
    ['a unit that the drug is never counted in', line('albuterol', 2, 'IU'), /amount is 2 IU; allowed/],
    ['mL of a drug whose packs differ', line('albuterol', 3, 'mL'), /or in mL with the strength/],
  ])('is said: %s', (_, asked, why) => {
    const found = new Ward().order('o', order([asked])).door('o').findings
    const [finding] = found.filter(({ code }) => code.startsWith('not-checked'))
    expect(finding).toMatchObject({ severity: 'ask', why: expect.stringMatching(why) })
  })
  it('names doses on record that the total leaves out', () => {
    const ward = new Ward()
      .order('o', order([albuterol]))
      .gave('o', hours(-10), [{ medicineId: 'albuterol', amount: 3, unit: 'mL' }])
    expect(ward.door('o').findings).toMatchObject([
      { code: 'uncounted:albuterol', severity: 'caution', why: expect.stringContaining('3 mL at ') },
    ])
  })
  it('names doses on record whose amount cannot be read', () => {
    const ward = new Ward()
      .order('o', order([albuterol]))
      .gave('o', hours(-10), [{ medicineId: 'albuterol', amount: 2, unit: 'puffs' }])
    expect(ward.door('o').findings).toMatchObject([
      { code: 'unread-doses:albuterol', severity: 'caution', why: expect.stringContaining('2 puffs') },
    ])
  })
  it('is not asked of a continuous treatment, for which nothing of the kind is published', () => {
    const running = order([line('albuterol', 10, 'mg/h')], {
      frequency: { code: 'CONT', continuous: true, standardTimes: false },
    })
    expect(new Ward().order('o', running).found('o')).toEqual(['note not-checked:albuterol'])
  })
})

describe('the last figures of the patient', () => {
  const iloprost = order([line('iloprost', 5, 'mcg')])
  const with84 = (hour: number) =>
    new Ward().order('o', iloprost).measured('o', hours(hour), { systolicMmHg: 84 })
  it('stop a dose that a low pressure speaks against', () => {
    expect(with84(-1).found('o')).toContain('stop pressure-too-low:iloprost')
    const at85 = new Ward().order('o', iloprost).measured('o', hours(-1), { systolicMmHg: 85 })
    expect(at85.found('o')).not.toContain('stop pressure-too-low:iloprost')
  })
  it('say nothing when they are a day old, and the newest of them counts', () => {
    expect(with84(-24).found('o')).not.toContain('stop pressure-too-low:iloprost')
    expect(with84(-2).measured('o', hours(-1), { systolicMmHg: 110 }).found('o')).not.toContain(
      'stop pressure-too-low:iloprost',
    )
    expect(with84(-2).measured('o', hours(-1), { heartRatePerMin: 70 }).found('o')).toContain(
      'stop pressure-too-low:iloprost',
    )
  })
  it('hold FEV1 against its prediction by sex, age and height', () => {
    const tobramycin = order([line('tobramycin', 300, 'mg')], { endAt: hours(24) })
    const ward = (heightCm: number | null) =>
      new Ward({ sex: 'male', heightCm })
        .order('o', tobramycin)
        .measured('o', hours(-1), { fev1Ml: 700 })
        .found('o')
    expect(ward(175).some((each) => each.startsWith('caution caution:tobramycin'))).toBe(true)
    expect(ward(null).some((each) => each.startsWith('caution caution:tobramycin'))).toBe(false)
  })
  it('measured since the door come up at the cup, and what was answered does not', () => {
    const { findings } = with84(-1).door('o')
    const answered = (codes: string[]) => ({
      orderActive: true,
      minutesSinceLastDose: null,
      findings: codes.map((code) => ({ code, what: code, answer: 'asked' })),
      precautions: [],
      putOn: [],
      equipment: [],
    })
    expect(sinceTheDoor(findings, answered([])).map(({ code }) => code)).toContain(
      'pressure-too-low:iloprost',
    )
    const codes = findings.map(({ code }) => code)
    expect(sinceTheDoor(findings, answered(codes))).toEqual([])
    expect(sinceTheDoor(findings, null).length).toBe(
      findings.filter(({ severity }) => severity !== 'note').length,
    )
  })
})

describe('doses of one medicine in the day before', () => {
  const epinephrine = order([line('racemic-epinephrine', 11.25, 'mg')], { indication: 'croup' })
  const given = (at: readonly number[]) =>
    at.reduce(
      (ward, hour) => ward.gave('o', hours(hour), [mg('racemic-epinephrine', 11.25)]),
      new Ward().order('o', epinephrine),
    )
  it('are counted: a third of epinephrine is asked about', () => {
    expect(given([-3, -2]).found('o').join()).toContain('third-epinephrine')
    expect(given([-2]).found('o').join()).not.toContain('third-epinephrine')
    expect(given([-24, -2]).found('o').join()).not.toContain('third-epinephrine')
  })
})

describe('what is given besides', () => {
  const arformoterol = line('arformoterol', 15, 'mcg')
  const asthma = { conditions: [{ code: 'asthma', text: 'asthma' }] }
  const stop = 'stop beta-agonist-alone-in-asthma:arformoterol'
  it('counts within the order and among the others', () => {
    expect(new Ward(asthma).order('o', order([arformoterol])).found('o')).toContain(stop)
    const together = order([arformoterol, line('budesonide', 0.5, 'mg')])
    expect(new Ward(asthma).order('o', together).found('o')).not.toContain(stop)
    const beside = new Ward(asthma)
      .order('o', order([arformoterol]))
      .order('b', order([line('budesonide', 0.5, 'mg')]))
    expect(beside.found('o')).not.toContain(stop)
  })
})

describe('a drug that is given 28 days on and 28 days off', () => {
  const tobramycin = (startAt: string) =>
    order([line('tobramycin', 300, 'mg')], { startAt, endAt: hours(24 * 60) })
  const days = (count: number) => hours(24 * count)
  it('is cautioned from the end of its 28 days on', () => {
    const ward = new Ward()
      .order('o', tobramycin(NOON), NOON)
      .gave('o', NOON, [mg('tobramycin', 300)])
      .gave('o', days(20), [mg('tobramycin', 300)])
    expect(ward.found('o', days(27.9))).not.toContain('caution cycle-off:tobramycin')
    expect(ward.found('o', days(28))).toContain('caution cycle-off:tobramycin')
  })
  it('counts from the first dose on record, also under an order before', () => {
    const ward = new Ward()
      .order('a', tobramycin(days(-2)))
      .gave('a', days(-2), [mg('tobramycin', 300)])
      .gave('a', days(10), [mg('tobramycin', 300)])
      .order('o', tobramycin(days(20)), days(20))
    expect(ward.found('o', days(25))).not.toContain('caution cycle-off:tobramycin')
    expect(ward.found('o', days(26))).toContain('caution cycle-off:tobramycin')
  })
})

describe('a dose that a change of clock set on another', () => {
  const doseAt = '2026-03-08T08:00:00.000Z'
  const rules = {
    standardTimes: STANDARD_TIMES.defaults,
    windows: WINDOWS.defaults,
    timeZone: 'America/Chicago', // IANA time zone data: UTC-6, from 8 March 2026 08:00Z UTC-5
  }
  const stated = { code: 'BID', standardTimes: false, statedTimes: ['02:00', '03:00'] }
  const startAt = '2026-03-05T12:00:00.000Z'
  const ward = () => new Ward().order('o', order([albuterol], { frequency: stated, startAt }), startAt)

  it('is asked about at the door, on the list ahead of it, and only that dose', () => {
    const { chart } = ward()
    const found = chart.order('o')
    const dose = dueDoseAt(chart, 'o', rules, doseAt)
    if (!found || !dose) throw new Error('the dose is not due')
    const [first] = aheadOfTheDoor(chart, found, DOCUMENTS, doseAt, dose)
    expect(first).toMatchObject({
      code: 'clock-change-joins-doses',
      severity: 'ask',
      what: expect.stringContaining('one dose stands there for two.'),
      why: expect.stringContaining('Ask the prescriber'),
    })
    expect(first?.sources).toHaveLength(1)
    const door = atTheDoor(chart, found, DOCUMENTS, doseAt, dose)
    expect(door.findings.map(({ code }) => code)).toContain('clock-change-joins-doses')
    const dayAfter = dueDoseAt(chart, 'o', rules, '2026-03-09T08:00:00.000Z')
    expect(dayAfter?.questions).toEqual([])
    expect(
      dueDoses(chart, rules, doseAt, '2026-03-08T09:00:00.000Z').map(({ questions }) => questions.length),
    ).toEqual([1])
  })
  it('is none at another instant, or of an order that is not known', () => {
    const { chart } = ward()
    expect(dueDoseAt(chart, 'o', rules, '2026-03-08T08:01:00.000Z')).toBeNull()
    expect(dueDoseAt(chart, 'another', rules, doseAt)).toBeNull()
  })
})

describe('before anybody stands at the door', () => {
  const ahead = (ward: Ward, orderId: string, at: string) => {
    const found = ward.chart.order(orderId)
    if (!found) throw new Error(`no order ${orderId}`)
    return aheadOfTheDoor(ward.chart, found, DOCUMENTS, at).map(({ code, severity }) => `${severity} ${code}`)
  }

  it('tells what the door would: days off, gaps and totals, but neither notes nor the early window', () => {
    const tobramycin = order([line('tobramycin', 300, 'mg')], { startAt: NOON, endAt: hours(24 * 60) })
    const ward = new Ward()
      .order('o', tobramycin, NOON)
      .gave('o', NOON, [mg('tobramycin', 300)])
      .gave('o', hours(24 * 20), [mg('tobramycin', 300)])
    expect(ahead(ward, 'o', hours(24 * 27))).not.toContain('caution cycle-off:tobramycin')
    expect(ahead(ward, 'o', hours(24 * 28))).toContain('caution cycle-off:tobramycin')
    const early = new Ward().order('o', order([albuterol])).gave('o', hours(-1), [mg('albuterol', 2.5)])
    expect(ahead(early, 'o', NOON)).toContain('ask too-early:albuterol')
    expect(ahead(early, 'o', hours(3))).not.toContain('ask too-early:albuterol')
    const atDoor = early.found('o').filter((each) => !each.startsWith('note '))
    expect(ahead(early, 'o', NOON)).toEqual(atDoor)
  })
})

describe('a formulary of the department', () => {
  it('decides at the door in place of the program’s own', () => {
    const medicines = defaultFormularyDocument().medicines.map((medicine) =>
      medicine.id === 'albuterol' && medicine.timing.gapRoutine
        ? {
            ...medicine,
            timing: { ...medicine.timing, gapRoutine: { ...medicine.timing.gapRoutine, minutes: 30 } },
          }
        : medicine,
    )
    const ward = new Ward().order('o', order([albuterol])).gave('o', hours(-1), [mg('albuterol', 2.5)])
    const documents = { ...DOCUMENTS, formulary: formularyOf({ ...defaultFormularyDocument(), medicines }) }
    expect(ward.door('o', NOON).findings.map(({ code }) => code)).toEqual(['too-early:albuterol'])
    expect(ward.door('o', NOON, documents).findings).toEqual([])
  })
})
