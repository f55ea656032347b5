import { describe, expect, it } from 'vitest'
import { reassess } from './reassess.ts'
import { clear, course, find, given, hoursAgo, unwell, wheezy } from './test-data/example-course.ts'

describe('is it working?', () => {
  const better = { ...wheezy, peakFlowLPerMin: [260], workOfBreathing: 'easy' }
  it('yes, when a change is beyond the noise of its measurement', () => {
    expect(find('working', [given(5, wheezy, wheezy), given(1, wheezy, better)])).toMatchObject({
      what: 'It works: 1 of the last 2.',
      asksPrescriber: false,
      because: [
        `${hoursAgo(5)}: no change that can be told (PEF 0 L/min, within its noise of 40 L/min; respiratory rate 0 /min, within its noise of 5 /min; work of breathing as before; wheeze as before).`,
        `${hoursAgo(1)}: better (PEF +60 L/min, beyond its noise of 40 L/min; respiratory rate 0 /min, within its noise of 5 /min; work of breathing less; wheeze as before).`,
      ],
    })
  })
  it('no, when two in a row did nothing that can be told', () => {
    const nothing = { ...wheezy, peakFlowLPerMin: [240] }
    expect(find('not working', [given(5, wheezy, nothing), given(1, wheezy, nothing)])).toMatchObject({
      what: 'No response that can be told: think again about cause, technique, device, medicine.',
      asksPrescriber: true,
      figures: [
        {
          name: 'treatments with a response, of the last measured at both ends',
          value: 0,
          unit: '{treatment}',
        },
        { name: 'treatments measured at both ends that were looked at', value: 2, unit: '{treatment}' },
      ],
    })
    expect(find('not working', [given(5, wheezy, unwell), given(1, wheezy, nothing)])).toBeDefined()
  })
  it('not known, with one pair, with nothing to improve, or when findings disagree', () => {
    expect(find('response not known', [given(1, wheezy, wheezy)])?.because.at(-1)).toBe(
      'Measured before and after: 1 of 2 treatments.',
    )
    expect(find('response not known', [])?.because).toEqual(['Measured before and after: 0 of 2 treatments.'])
    expect(find('response not known', [given(5, clear, clear), given(1, clear, clear)])?.because.at(-1)).toBe(
      'Nothing was left to improve before the treatments.',
    )
    const mixed = { ...better, respiratoryRatePerMin: 31 }
    expect(
      find('response not known', [given(5, wheezy, wheezy), given(1, wheezy, mixed)])?.because.at(-1),
    ).toBe('Some findings got better and some worse.')
  })
  it('looks at the latest two pairs only, and not at what was not given', () => {
    const old = given(9, wheezy, better)
    expect(find('not working', [old, given(5, wheezy, wheezy), given(1, wheezy, wheezy)])).toBeDefined()
    const notGiven = given(1, wheezy, better, { given: false })
    expect(find('working', [given(9, wheezy, wheezy), given(5, wheezy, wheezy), notGiven])).toBeUndefined()
  })
  it('less wheeze because less air moves is no improvement', () => {
    const silent = {
      ...unwell,
      breathSounds: { 'right lower': ['absent'], 'left lower': ['absent'] },
    } as const
    const { responses } = reassess(course([given(1, unwell, silent)]))
    expect(responses[0]?.verdict).toBe('no change that can be told')
  })
  it('says nothing of a treatment in which nothing was measured at both ends', () => {
    const { responses } = reassess(
      course([given(5, { spo2Percent: 94 }, { spo2Percent: 99 }), given(1, null, clear)]),
    )
    expect(responses).toEqual([])
  })
  it('work and wheeze more is worse', () => {
    const { responses } = reassess(course([given(1, { ...clear }, { ...unwell })]))
    expect(responses[0]).toMatchObject({
      verdict: 'worse',
      words: [
        'respiratory rate +12 /min, beyond its noise of 5 /min',
        'work of breathing more',
        'wheeze more',
      ],
    })
    const down = reassess(course([given(1, unwell, clear)])).responses[0]
    expect(down).toMatchObject({ verdict: 'better', words: expect.arrayContaining(['wheeze less']) })
  })
})

describe('is it still needed?', () => {
  const day = [given(26, clear), given(13, clear), given(1, clear)]
  it('asks after a day without a finding and without an as-needed dose', () => {
    expect(find('still needed?', day)).toMatchObject({
      what: 'Ask whether it is still needed. If it is stopped, look again 24 h later.',
      because: ['Nothing found at 3 looks over 25 h.', 'No as-needed dose in 24 h.'],
      figures: [{ name: 'hours without a finding', value: 25, unit: 'h' }],
      asksPrescriber: true,
    })
    expect(find('still needed?', day, { homeEveryMinutes: 720 })?.what).toBe(
      'Ask whether the home regimen would do.',
    )
  })
  it('counts from the last look that had a finding', () => {
    expect(find('still needed?', [given(40, wheezy), ...day])).toBeDefined()
    expect(find('still needed?', [given(26, clear), given(13, wheezy), given(1, clear)])).toBeUndefined()
    expect(find('still needed?', [given(26, clear), given(1, wheezy)])).toBeUndefined()
  })
  it('exactly a day is enough, a little less is not', () => {
    expect(find('still needed?', [given(25, clear), given(1, clear)])).toBeDefined()
    expect(find('still needed?', [given(24.9, clear), given(1, clear)])).toBeUndefined()
  })
  it('not for a controller, not after an as-needed dose, not after one look, not with a gap in the look', () => {
    expect(find('still needed?', day, { kind: 'controller' })).toBeUndefined()
    expect(find('still needed?', [...day, given(3, null, null, { prn: true })])).toBeUndefined()
    expect(find('still needed?', [given(1, clear)])).toBeUndefined()
    expect(find('still needed?', [])).toBeUndefined()
    const { spo2Percent: _, ...gap } = clear
    expect(find('still needed?', [given(26, clear), given(1, gap)])).toBeUndefined()
  })
})

describe('would another device do?', () => {
  const able = { ...clear, ability: 'follows and holds a mouthpiece' }
  it('an inhaler for one who is settled, alert, old enough and able', () => {
    expect(find('other device', [given(1, able)])).toMatchObject({
      what: 'Ask whether an inhaler with a spacer would do.',
      because: ['Settled at the last look, alert, follows and holds a mouthpiece.'],
      asksPrescriber: true,
    })
    expect(find('other device', [given(1, able)], {}, 5)).toBeDefined()
  })
  it.each([
    ['unsettled', given(1, { ...wheezy, ability: able.ability }), {}, 60],
    ['in need of help', given(1, clear), {}, 60],
    ['too young', given(1, able), {}, 4.9],
    ['drowsy', given(1, { ...able, consciousness: 'to voice' }), {}, 60],
    ['on an inhaler already', given(1, able), { device: 'inhaler with spacer' }, 60],
    ['stopped by a rule', given(1, able, null, { stopRules: ['S01'] }), {}, 60],
    ['never looked at', given(1, null), {}, 60],
  ] as const)('not for one who is %s', (_what, treatment, change, age) => {
    expect(find('other device', [treatment], change, age)).toBeUndefined()
  })
  it.each([
    [{ ...clear, ability: 'cannot follow' }, 'The patient cannot follow or is not alert.'],
    [{ ...clear, consciousness: 'new confusion' }, 'The patient cannot follow or is not alert.'],
    [{ ...clear, workOfBreathing: 'exhausted' }, 'The patient is exhausted.'],
  ])('a mask in place of a mouthpiece, a nebulizer in place of an inhaler', (look, why) => {
    expect(find('other device', [given(1, look)], { device: 'nebulizer with mouthpiece' })).toMatchObject({
      what: 'A snug mask in place of the mouthpiece.',
      because: [why],
      asksPrescriber: false,
    })
    expect(find('other device', [given(1, look)], { device: 'inhaler with spacer' })).toMatchObject({
      what: 'A nebulizer with a mask in place of the inhaler.',
      because: [why],
      asksPrescriber: true,
    })
    expect(find('other device', [given(1, look)])).toBeUndefined()
  })
  it('goes by the last look that there is', () => {
    const looks = [given(5, { ...clear, ability: 'cannot follow' }), given(1, null)]
    expect(find('other device', looks, { device: 'nebulizer with mouthpiece' })).toBeDefined()
  })
})

describe('do the doses reach the patient?', () => {
  const missed = (hours: number, reasonNotGiven?: string) =>
    given(hours, null, null, { given: false, reasonNotGiven })
  it('asks when two of the last four by the clock were not given', () => {
    expect(
      find('doses missed', [given(13, clear), missed(9, 'not in room'), given(5, clear), missed(1)]),
    ).toMatchObject({
      what: '2 of the last 4 doses by the clock were not given: find out why before judging the order.',
      because: [`${hoursAgo(9)}: not in room.`, `${hoursAgo(1)}: no reason recorded.`],
      figures: [{ name: 'doses not given', value: 2, unit: '{dose}' }],
    })
  })
  it('not for one, not for old ones, not for as-needed ones', () => {
    expect(find('doses missed', [given(5, clear), missed(1)])).toBeUndefined()
    const old = [missed(21), missed(17), given(13, clear), given(9, clear), given(5, clear), given(1, clear)]
    expect(find('doses missed', old)).toBeUndefined()
    const prn = { given: false, prn: true }
    expect(find('doses missed', [given(5, null, null, prn), given(1, null, null, prn)])).toBeUndefined()
  })
})
