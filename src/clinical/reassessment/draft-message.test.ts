import { describe, expect, it } from 'vitest'
import type { Course, Look } from './course.ts'
import { draftMessage } from './draft-message.ts'
import { reassess } from './reassess.ts'
import { rehearse } from './rehearse.ts'

const clear: Look = {
  respiratoryRatePerMin: 16,
  spo2Percent: 96,
  moreOxygenThanUsual: false,
  workOfBreathing: 'easy',
  breathSounds: { 'right lower': ['clear'] },
}
const unwell: Look = {
  ...clear,
  respiratoryRatePerMin: 30,
  workOfBreathing: 'labored',
  breathSounds: { 'right lower': ['wheeze both ways'] },
}
const course = (...looks: readonly (Look | null)[]): Course => ({
  order: {
    title: 'Bronchodilator 2.5 mg',
    kind: 'rescue bronchodilator',
    everyMinutes: 240,
    asNeeded: true,
    device: 'nebulizer with mask',
    homeEveryMinutes: 720,
  },
  ageYears: 63.4,
  spo2TargetLowPercent: 92,
  now: '2026-03-02T20:00:00Z',
  treatments: looks.map((before, at) => ({
    at: `2026-03-02T${String(18 - 4 * (looks.length - 1 - at)).padStart(2, '0')}:00:00Z`,
    prn: false,
    given: before !== null,
    before,
    after: before,
  })),
})
const parties = {
  patient: 'A. Example, born 1 Jan 1963',
  place: '4 West 7',
  prescriber: 'Dr. B. Example',
  author: 'C. Example, RT',
  clock: (instant: string) => instant.slice(11, 16),
}
const message = (of: Course) => draftMessage(of, reassess(of), parties)

describe('a message in the order situation, background, assessment, recommendation', () => {
  it('says what was recorded and asks for what is proposed', () => {
    expect(message(course(clear, null, clear)).text).toBe(
      [
        'To Dr. B. Example, from C. Example, RT.',
        'Situation: A. Example, born 1 Jan 1963, 4 West 7: Bronchodilator 2.5 mg, every 4 h. Reassessment of the order.',
        'Background: Age 63. Since 10:00: 2 treatments given, 0 of them as needed, 1 not given. At home every 12 h. By nebulizer with mask.',
        'Assessment: Before treatments: 10:00 settled, 0 of 8; 18:00 settled, 0 of 8. After against before: 10:00 no change that can be told; 18:00 no change that can be told. Whether it works cannot be told.',
        'Recommendation: One step less often: every 6 h in place of every 4 h. Please confirm or change; the order stands until then.',
      ].join('\n'),
    )
  })
  it('puts what is urgent first, and what speaks against beside what is asked', () => {
    const { order } = course()
    const { homeEveryMinutes: _, ...without } = order
    const tired = { ...course(unwell, { ...unwell, workOfBreathing: 'exhausted' }), order: without }
    const drafted = message(tired)
    expect(drafted.situation).toBe(
      'A. Example, born 1 Jan 1963, 4 West 7: Bronchodilator 2.5 mg, every 4 h. Urgent: At the last treatment: exhaustion.',
    )
    expect(drafted.recommendation).toBe(
      'Tell the prescriber now. One step more often: every 3 h in place of every 4 h. But: The order as it stands does not allow it: it takes a new one. No response that can be told: think again about cause, technique, device, medicine. But: A change can be smaller than the noise of its measurement and still be felt: ask the patient. Please confirm or change; the order stands until then.',
    )
    expect(drafted.background).not.toContain('At home')
  })
  it('has nothing to ask when nothing is proposed, and makes nothing up', () => {
    const drafted = message(course())
    expect(drafted.recommendation).toBe('None: for your information. The order stands.')
    expect(drafted.background).toBe(
      'Age 63. No treatment on record. No look before a treatment on record. At home every 12 h. By nebulizer with mask.',
    )
    expect(drafted.assessment).toBe('Whether it works cannot be told.')
  })
  it('mentions the last three looks, and counts from the first treatment whatever the order of arrival', () => {
    const long = course(clear, unwell, clear, clear)
    const drafted = message({ ...long, treatments: [...long.treatments].reverse() })
    expect(drafted.assessment).toContain(
      'Before treatments: 10:00 unwell, 6 of 8; 14:00 settled, 0 of 8; 18:00 settled',
    )
    expect(drafted.background).toContain('Since 06:00: 4 treatments given')
  })
  it('counts as-needed doses that were given', () => {
    const [first, ...rest] = course(clear, clear).treatments
    const prn = first ? [{ ...first, prn: true }, ...rest, { ...first, prn: true, given: false }] : []
    expect(message({ ...course(), treatments: prn }).background).toContain(
      '2 treatments given, 1 of them as needed, 1 not',
    )
  })
})

describe('a rule rehearsed on the past', () => {
  it('counts what it would have proposed and where people decided otherwise', () => {
    const past = [
      { course: course(clear, null, clear), decided: 'less often' },
      { course: course(clear, null, clear), decided: 'left' },
      { course: course(unwell), decided: 'more often' },
      { course: course(clear), decided: 'less often' },
      { course: course(), decided: 'less often' },
    ] as const
    expect(rehearse(past)).toEqual({
      courses: 5,
      proposed: { 'more often': 1, 'less often': 2, left: 1, withheld: 1 },
      disagreed: 2,
    })
  })
})
