import { expect, it } from 'vitest'
import { REASSESSMENT_CALCULATIONS } from './calculations.ts'

const look = {
  respiratoryRatePerMin: 16,
  spo2Percent: 96,
  moreOxygenThanUsual: false,
  workOfBreathing: 'easy',
  breathSounds: { 'left lower': ['clear'] },
}
const course = {
  order: {
    title: 'Bronchodilator',
    kind: 'rescue bronchodilator',
    everyMinutes: 240,
    asNeeded: true,
    device: 'other',
  },
  ageYears: 50,
  spo2TargetLowPercent: 92,
  now: '2026-03-02T20:00:00Z',
  treatments: [
    { at: '2026-03-02T14:00:00Z', prn: false, given: true, before: look },
    { at: '2026-03-02T18:00:00Z', prn: false, given: true, before: look },
  ],
}

it('answers as the function does, in JSON, with a message when parties are named', () => {
  const [calculation] = REASSESSMENT_CALCULATIONS
  expect(calculation?.name).toBe('reassessment')
  const parties = { patient: 'P', place: 'W', prescriber: 'D', author: 'A' }
  const asked = calculation?.input.parse({ ...course, message: parties })
  const { result, working } = calculation?.run(asked) ?? {}
  expect(result).toMatchObject({
    suggestions: [{ kind: 'less often', everyMinutes: 360 }, { kind: 'response not known' }],
    message: { situation: 'P, W: Bronchodilator, every 4 h. Reassessment of the order.' },
    nextReview: { why: 'after 4 more doses' },
  })
  expect(working?.steps[0]).toBe('One step less often: every 6 h in place of every 4 h.')
  expect(working?.sources.map(({ key }) => key)).toEqual([
    'DESIGN',
    'STEP_PRACTICE',
    'KALLAM_2013',
    'AARC_ARBD',
  ])
  expect(working?.cautions).toHaveLength(1)
  expect(calculation?.run(calculation.input.parse(course)).result).toMatchObject({ message: null })
})
it('refuses a field that it does not know, at any depth', () => {
  const input = REASSESSMENT_CALCULATIONS[0]?.input
  const [first] = course.treatments
  for (const odd of [
    { ...course, extra: 1 },
    { ...course, order: { ...course.order, frequency: 'QID' } },
    { ...course, treatments: [{ ...first, before: { ...look, heartRate: 80 } }] },
  ]) {
    expect(input?.safeParse(odd).success).toBe(false)
  }
  expect(input?.safeParse(course).success).toBe(true)
})
