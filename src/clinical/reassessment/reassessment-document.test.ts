import { describe, expect, it } from 'vitest'
import { defaultReassessment, ReassessmentDocument } from './reassessment-document.ts'

const messages = (change: object) =>
  ReassessmentDocument.safeParse({ ...defaultReassessment(), ...change }).error?.issues.map(
    ({ message }) => message,
  )

describe('a department’s own rule', () => {
  it('may have other bands, steps and numbers of looks', () => {
    const own = { version: 2, ladderMinutes: [120, 240], looksForLonger: 3, hoursBetweenLooks: 6 }
    expect(messages(own)).toBeUndefined()
  })
  it.each([
    [
      'bands that do not rise',
      {
        bands: [
          { name: 'a', upTo: 5 },
          { name: 'unsettled', upTo: 5 },
          { name: 'c', upTo: 12 },
        ],
      },
      'bands do not rise',
    ],
    [
      'a last band that is too low',
      {
        bands: [
          { name: 'a', upTo: 5 },
          { name: 'unsettled', upTo: 11 },
        ],
      },
      'the last band does not hold every sum',
    ],
    ['a band that is not there', { topLevelIsAtLeast: 'poorly' }, 'no band is called poorly'],
    ['steps that do not rise', { ladderMinutes: [240, 240] }, 'intervals do not rise'],
    ['no limits', { limits: {} }, 'limit breathsLow is not there, or in another unit'],
    ['no sources', { sources: {} }, 'source PALS2015 is not written down'],
  ])('is refused with %s', (_what, change, message) => {
    expect(messages(change)).toContain(message)
  })
  it.each([
    ['one band', { bands: [{ name: 'unsettled', upTo: 12 }] }],
    ['one step', { ladderMinutes: [240] }],
    ['no domains', { domains: [] }],
    ['half a look', { looksForLonger: 1.5 }],
    ['no hours between looks', { hoursBetweenLooks: 0 }],
    ['a field too many', { extra: 1 }],
  ])('and with %s', (_what, change) => {
    expect(messages(change)?.length).toBeGreaterThan(0)
  })
  it('is refused when a limit is in another unit', () => {
    const { limits } = defaultReassessment()
    const spo2TargetLow = { unit: '1', byAge: [] }
    expect(messages({ limits: { ...limits, spo2TargetLow } })).toEqual([
      'limit spo2TargetLow is not there, or in another unit',
    ])
  })
})

it('the default holds what this program means by it', () => {
  const document = defaultReassessment()
  expect(document).toMatchObject({
    version: 1,
    ladderMinutes: [60, 120, 180, 240, 360, 480],
    looksForLonger: 2,
    hoursBetweenLooks: 4,
    topLevelIsAtLeast: 'unsettled',
  })
  expect(document.domains.map(({ id, required }) => [id, required])).toEqual([
    ['breathing rate', true],
    ['oxygen', true],
    ['effort', true],
    ['sounds', true],
    ['airflow', false],
    ['breathlessness', false],
  ])
})
