import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../worked.ts'
import type { Look } from './course.ts'
import { reassess } from './reassess.ts'
import { defaultReassessment } from './reassessment-document.ts'
import {
  clear,
  course,
  find,
  given,
  HOUR,
  hoursAgo,
  interval,
  NOW,
  suggestions,
  unwell,
  wheezy,
} from './test-data/example-course.ts'

describe('could the interval be longer?', () => {
  it('after two settled looks at least 4 h apart and no as-needed dose', () => {
    expect(interval([given(5, clear), given(1, clear)])).toMatchObject({
      kind: 'less often',
      what: 'One step less often: every 6 h in place of every 4 h.',
      because: ['2 settled looks at least 4 h apart.', 'No as-needed dose in 24 h.'],
      against: [],
      everyMinutes: 360,
      asksPrescriber: true,
      standing: 'design rule',
    })
  })
  it.each([
    ['one look', [given(1, clear)], '1 of 2 settled looks at least 4 h apart.'],
    ['looks too close', [given(4.9, clear), given(1, clear)], '1 of 2 settled looks at least 4 h apart.'],
    ['a worse look between', [given(9, clear), given(5, wheezy), given(1, clear)], '1 of 2 settled looks'],
    ['a worse look last', [given(9, clear), given(5, clear), given(1, wheezy)], '0 of 2 settled looks'],
    [
      'an as-needed dose',
      [given(9, clear), given(6, null, null, { prn: true }), given(1, clear)],
      'As-needed doses in 24 h: 1.',
    ],
  ])('not after %s', (_what, treatments, why) => {
    const advice = interval(treatments)
    expect(advice).toMatchObject({
      kind: 'leave the interval',
      what: 'Leave it every 4 h.',
      asksPrescriber: false,
    })
    expect(advice?.because.join(' ')).toContain(why)
    expect(advice?.everyMinutes).toBeUndefined()
  })
  it('counts looks that are far enough apart, skipping those in between', () => {
    expect(interval([given(5, clear), given(3, clear), given(1, clear)])?.kind).toBe('less often')
    expect(interval([given(3, clear), given(2, clear), given(1, clear)])?.kind).toBe('leave the interval')
  })
  it('an as-needed dose of more than a day ago, or one not given, does not count', () => {
    const looks = [given(5, clear), given(1, clear)]
    expect(interval([given(24, null, null, { prn: true }), ...looks])?.kind).toBe('less often')
    expect(interval([given(23.9, null, null, { prn: true }), ...looks])?.kind).toBe('leave the interval')
    expect(interval([given(3, null, null, { prn: true, given: false }), ...looks])?.kind).toBe('less often')
  })
  it('does not go below the home regimen, and past the last step becomes as needed', () => {
    const looks = [given(5, clear), given(1, clear)]
    expect(interval(looks, { homeEveryMinutes: 240 })).toMatchObject({
      kind: 'leave the interval',
      because: ['Settled, but every 6 h would be less than at home (every 4 h).'],
    })
    expect(interval(looks, { homeEveryMinutes: 360 })?.kind).toBe('less often')
    expect(interval(looks, { everyMinutes: 480 })).toMatchObject({
      everyMinutes: null,
      what: 'One step less often: as needed in place of every 8 h.',
    })
    expect(interval(looks, { everyMinutes: 480, homeEveryMinutes: 720 })?.kind).toBe('leave the interval')
  })
  it('says when no as-needed dose stands beside it', () => {
    const looks = [given(5, clear), given(1, clear)]
    expect(interval(looks, { asNeeded: false })?.against).toEqual([
      'No as-needed dose is ordered beside it: ask for one.',
    ])
  })
})

describe('should it be shorter?', () => {
  it('at once, on one unwell look', () => {
    expect(interval([given(5, clear), given(1, unwell)])).toMatchObject({
      kind: 'more often',
      what: 'One step more often: every 3 h in place of every 4 h.',
      because: ['The last look was unwell: 6 of 8.'],
      against: ['The order as it stands does not allow it: it takes a new one.'],
      everyMinutes: 180,
      asksPrescriber: true,
      figures: [
        { name: 'sum of the last look, at least', value: 6, unit: '{score}' },
        { name: 'as-needed doses in 24 h', value: 0, unit: '{dose}' },
      ],
    })
  })
  it('after two as-needed doses in a day, however settled between', () => {
    const prn = { prn: true }
    const doses = [given(10, null, null, prn), given(6, null, null, prn), given(1, clear)]
    expect(interval(doses)?.because).toEqual([
      '2 as-needed doses in 24 h: symptoms came back before the next dose was due.',
    ])
    expect(interval(doses.slice(1))?.kind).toBe('leave the interval')
  })
  it('within what the order allows, or else as a question', () => {
    const asked = (shortestMinutes: number) => interval([given(1, unwell)], { shortestMinutes })
    expect(asked(180)).toMatchObject({ asksPrescriber: false, against: [] })
    expect(asked(181)).toMatchObject({ asksPrescriber: true })
  })
  it('and where there is no shorter step, another plan', () => {
    expect(interval([given(1, unwell)], { everyMinutes: 60 })).toMatchObject({
      kind: 'more often',
      what: 'Already every 1 h: ask for another plan, not for a shorter interval.',
      asksPrescriber: true,
    })
    expect(interval([given(1, unwell)], { everyMinutes: 90 })?.what).toContain(
      'every 1 h in place of every 90 min',
    )
  })
})

describe('missing is not zero', () => {
  it('no proposal while what is missing could change the band', () => {
    const { workOfBreathing: _, breathSounds: __, ...part } = wheezy
    expect(interval([given(5, clear), given(1, part)])).toMatchObject({
      kind: 'interval withheld',
      what: 'No proposal on the interval until what is missing has been looked at.',
      because: [
        'The last look is open: 1 to 5 of 8; missing: labored or exhausted, somewhat labored, wheeze both ways, or too little air, wheeze on breathing out, or less air.',
      ],
    })
  })
  it('no look, no proposal', () => {
    expect(interval([])?.because).toEqual(['No look before a treatment is on record.'])
    expect(interval([given(1, null)])?.kind).toBe('interval withheld')
  })
  it('but two as-needed doses need no look', () => {
    const prn = { prn: true }
    expect(interval([given(6, null, null, prn), given(3, null, null, prn)])?.kind).toBe('more often')
  })
})

describe('gates come before points', () => {
  const looks = [given(5, clear), given(1, clear)]
  it('a controller is never re-timed, nor an order without an interval', () => {
    expect(interval(looks, { kind: 'controller' })?.because).toEqual([
      'The order is for a controller, which this rule never re-times.',
    ])
    expect(interval([given(1, unwell)], { kind: 'other' })?.kind).toBe('leave the interval')
    expect(interval(looks, { everyMinutes: null })).toMatchObject({
      what: 'Leave it as needed.',
      because: ['The order has no interval to step through.'],
    })
  })
  it.each([
    ['silent chest', { ...clear, breathSounds: { 'right lower': ['absent'], 'left lower': ['absent'] } }],
    ['exhaustion', { ...clear, workOfBreathing: 'exhausted' }],
    ['altered consciousness', { ...clear, consciousness: 'to voice' }],
    ['PEF in percent', { ...clear, peakFlowPercent: 32 }],
    ['respiratory rate 8 /min', { ...clear, respiratoryRatePerMin: 8 }],
  ] as const)('%s at the last treatment is told now, and nothing is made less', (sign, look) => {
    const told = find('tell the prescriber now', [given(9, clear), given(5, clear), given(1, clear, look)])
    expect(told).toMatchObject({ what: 'Tell the prescriber now.', asksPrescriber: true })
    expect(told?.because.join(' ')).toContain(`At the last treatment: ${sign}`)
    const rest = suggestions([given(30, clear), given(5, clear), given(1, clear, look)])
    expect(rest[0]?.kind).toBe('tell the prescriber now')
    expect(rest.map(({ kind }) => kind)).not.toContain('less often')
    expect(rest.map(({ kind }) => kind)).not.toContain('still needed?')
    expect(reassess(course([given(1, look)])).nextReview).toEqual({
      at: new Date(NOW).toISOString(),
      why: 'something urgent was found',
    })
  })
  it('a stop rule that spoke at the last treatment, but not one before it', () => {
    const stopped = { stopRules: ['S01', 'S05'] }
    expect(find('tell the prescriber now', [given(1, clear, null, stopped)])?.because).toEqual([
      'Stop rules spoke at the last treatment: S01, S05.',
    ])
    expect(find('tell the prescriber now', [given(5, clear, null, stopped), given(1, clear)])).toBeUndefined()
    const settled = [given(5, clear), given(1, clear, null, stopped)]
    expect(interval(settled)?.because).toEqual(['Something urgent was found: nothing is made less.'])
  })
  it('the third as-needed dose of a day', () => {
    const prn = { prn: true }
    const doses = [given(9, null, null, prn), given(6, null, null, prn), given(3, null, null, prn)]
    expect(find('tell the prescriber now', doses)?.because).toEqual(['3 as-needed doses in 24 h.'])
    expect(find('tell the prescriber now', doses.slice(1))).toBeUndefined()
  })
  it('a PEF of 33 % is not urgent, one look at it twice is said once', () => {
    expect(find('tell the prescriber now', [given(1, { ...clear, peakFlowPercent: 33 })])).toBeUndefined()
    const tired = { ...clear, workOfBreathing: 'exhausted' }
    expect(find('tell the prescriber now', [given(1, tired, tired)])?.because).toHaveLength(1)
  })
})

describe('the next review', () => {
  it('is the earliest of a day from now and four more doses', () => {
    const review = (...given: Parameters<typeof course>) => reassess(course(...given)).nextReview
    expect(review([given(1, wheezy)])).toEqual({
      at: new Date(NOW + 15 * HOUR).toISOString(),
      why: 'after 4 more doses',
    })
    expect(review([given(1, wheezy)], { everyMinutes: 480 })).toEqual({
      at: new Date(NOW + 24 * HOUR).toISOString(),
      why: '24 h from now',
    })
    expect(review([given(1, wheezy)], { everyMinutes: null }).why).toBe('24 h from now')
    expect(review([]).why).toBe('24 h from now')
    expect(review([given(40, wheezy)])).toEqual({
      at: new Date(NOW).toISOString(),
      why: 'after 4 more doses',
    })
    expect(review([given(1, wheezy, null, { given: false })]).why).toBe('24 h from now')
  })
})

describe('what is refused', () => {
  it('instants that are none, have no offset, or lie in the future', () => {
    const at = (instant: string) => reassess(course([given(1, clear, null, { at: instant })]))
    for (const odd of ['yesterday', '2026-03-02T19:00:00', '2026-03-02', '2026-13-02T19:00:00Z']) {
      expect(() => at(odd)).toThrow(`at is ${odd}; allowed: an instant with its offset`)
    }
    expect(() => at('2026-03-02T20:00:01Z')).toThrow('not after now')
    expect(at('2026-03-02T21:00:00+01:00').looks).toHaveLength(1)
    expect(() => reassess({ ...course([]), now: 'now' })).toThrow(BadInput)
  })
  it('ages, targets and intervals that cannot be', () => {
    for (const age of [-1, 130, Number.NaN])
      expect(() => reassess(course([], {}, age))).toThrow(OutsideValidity)
    for (const target of [49, 101, Number.NaN]) {
      expect(() => reassess({ ...course([]), spo2TargetLowPercent: target })).toThrow('spo2TargetLowPercent')
    }
    for (const minutes of [0, -60, 1.5, Number.NaN]) {
      for (const field of ['everyMinutes', 'shortestMinutes', 'homeEveryMinutes']) {
        expect(() => reassess(course([], { [field]: minutes }))).toThrow(
          `${field} is ${minutes}; allowed: a whole number of minutes above zero`,
        )
      }
    }
  })
})

it('never touches the order, gives the same for any order of arrival, and always says why', () => {
  const look = fc.constantFrom<Look | null>(clear, wheezy, unwell, { spo2Percent: 95 }, null)
  const treatment = fc.record({
    at: fc.integer({ min: 0, max: 60 }).map(hoursAgo),
    prn: fc.boolean(),
    given: fc.boolean(),
    before: look,
    after: look,
  })
  const anyCourse = fc.record({
    treatments: fc.uniqueArray(treatment, { maxLength: 8, selector: ({ at }) => at }),
    everyMinutes: fc.constantFrom(null, 60, 180, 240, 480),
  })
  fc.assert(
    fc.property(anyCourse, ({ treatments, everyMinutes }) => {
      const given = course(treatments, { everyMinutes })
      const kept = structuredClone(given)
      const first = reassess(given)
      expect(given).toEqual(kept)
      expect(reassess({ ...given, treatments: [...treatments].reverse() })).toEqual(first)
      for (const each of first.suggestions) {
        expect(each.because.length).toBeGreaterThan(0)
        expect(each.sources.length).toBeGreaterThan(0)
      }
      const intervals = first.suggestions.filter(({ kind }) => /interval|often/.test(kind))
      expect(intervals).toHaveLength(1)
    }),
  )
})

it('says by which document, and how each look stood', () => {
  const { documentVersion, documentStanding, looks } = reassess(course([given(5, clear), given(1, unwell)]))
  expect(documentVersion).toBe(defaultReassessment().version)
  expect(documentStanding).toContain('medical director')
  expect(looks.map(({ words }) => words)).toEqual(['settled, 0 of 8', 'unwell, 6 of 8'])
})
