import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../worked.ts'
import { peakFlowRepeatability, spirometryRepeatability } from './repeatability.ts'

describe('peak flow: best of three, the two best within 40 L/min, two blows more at most (Miller 2005, from memory)', () => {
  it('is content with three that agree', () => {
    expect(peakFlowRepeatability([300, 345, 310])).toMatchObject({
      best: 345,
      difference: 35,
      allowed: 40,
      repeatable: true,
      askForMore: false,
      whatToDo: 'Record 345 L/min, the best of 3.',
      cautions: [],
    })
  })
  it.each([
    [[300, 340, 280], 40, true, false],
    [[300, 341, 280], 41, false, true],
    [[300, 341, 280, 290], 41, false, true],
    [[300, 341, 280, 290, 295], 41, false, false],
    [[300, 341, 280, 290, 301], 40, true, false],
    [[310, 320], 10, true, true],
    [[310], null, null, true],
    [[310, 310, 310], 0, true, false],
  ])('%j: difference %s, repeatable %s, ask for more %s', (blows, difference, repeatable, askForMore) => {
    expect(peakFlowRepeatability(blows)).toMatchObject({ difference, repeatable, askForMore })
  })
  it('says what to do', () => {
    const todo = (...blows: number[]) => peakFlowRepeatability(blows).whatToDo
    expect(todo(310)).toBe('1 of 3 blows done: ask for another if the patient is well enough.')
    expect(todo(310, 320)).toBe('2 of 3 blows done: ask for another if the patient is well enough.')
    expect(todo(300, 350, 280)).toBe(
      'The two best are 50 L/min apart (40 allowed): ask for another if the patient is well enough.',
    )
    expect(todo(300, 350, 280, 250, 260)).toBe(
      'The two best are 50 L/min apart (40 allowed) after 5 blows: record 350 L/min as not repeatable, and no more blows.',
    )
  })
  it('warns of a series in which each blow is lower', () => {
    const falling = peakFlowRepeatability([350, 330, 300])
    expect(falling.cautions).toEqual([
      'Each blow was lower than the one before: the effort itself may be narrowing the airways. Look at the patient before another blow.',
    ])
    expect(falling.sources.map(({ key }) => key)).toEqual([
      'PEF_BEST_OF_THREE',
      'MILLER_2005',
      'FALLING_SERIES',
    ])
    for (const blows of [
      [350, 330, 330],
      [350, 330],
      [350, 300, 330],
      [330, 350, 300],
    ]) {
      const { cautions, sources } = peakFlowRepeatability(blows)
      expect(cautions).toEqual([])
      expect(sources).toHaveLength(2)
    }
  })
  it.each([[[]], [[0]], [[-300]], [[1001]], [[300.5]], [[Number.NaN]], [[300, Infinity]]])(
    'refuses %j',
    (blows) => {
      expect(() => peakFlowRepeatability(blows)).toThrow(BadInput)
    },
  )
  it('names what it wants, and takes both ends of the meter', () => {
    expect(() => peakFlowRepeatability([])).toThrow('blows is none; allowed: at least one blow')
    expect(() => peakFlowRepeatability([1001])).toThrow('whole numbers of L/min, 1 to 1000')
    expect(peakFlowRepeatability([1, 1000]).difference).toBe(999)
  })
  it('does not care in which order the blows came, but for the falling series', () => {
    const blows = fc.array(fc.integer({ min: 1, max: 1000 }), { minLength: 1, maxLength: 8 })
    fc.assert(
      fc.property(blows, (given) => {
        const { cautions: _, sources: __, ...first } = peakFlowRepeatability(given)
        const { cautions: ___, sources: ____, ...second } = peakFlowRepeatability([...given].reverse())
        expect(first).toEqual(second)
        expect(first.best).toBe(Math.max(...given))
      }),
    )
  })
})

describe('spirometry (Graham 2019): 150 mL over 6 years; 100 mL or 10 % up to 6', () => {
  it.each([
    [[3000, 2850, 2700], 40, 150, true, false],
    [[3000, 2849, 2700], 40, 150, false, true],
    [[1000, 900, 800], 6, 100, true, false],
    [[1000, 899, 800], 6, 100, false, true],
    [[1509, 1359, 1200], 6.99, 150, true, false],
    [[1509, 1358, 1200], 6.99, 150, false, true],
    [[1600, 1440, 1200], 6, 160, true, false],
    [[1600, 1440, 1200], 7, 150, false, true],
    [[900, 800, 700], 3, 100, true, false],
  ])(
    '%j mL at %s years: %s mL allowed, repeatable %s, ask for more %s',
    (blows, age, allowed, repeatable, more) => {
      expect(spirometryRepeatability(blows, age)).toMatchObject({ allowed, repeatable, askForMore: more })
    },
  )
  it('ends after eight blows', () => {
    const apart = [3000, 2000, 1900, 1800, 1700, 1600, 1500]
    expect(spirometryRepeatability(apart, 40).askForMore).toBe(true)
    const eighth = spirometryRepeatability([...apart, 1400], 40)
    expect(eighth.askForMore).toBe(false)
    expect(eighth.whatToDo).toBe(
      'The two best are 1000 mL apart (150 allowed) after 8 blows: record 3000 mL as not repeatable, and no more blows.',
    )
    expect(eighth.sources.map(({ key }) => key)).toEqual(['GRAHAM_2019'])
    expect(eighth.cautions).toEqual([])
  })
  it.each([2.99, 120.01, Number.NaN, -1])('refuses an age of %s', (age) => {
    expect(() => spirometryRepeatability([3000], age)).toThrow(OutsideValidity)
  })
  it('takes both ends of age and volume, and nothing beyond', () => {
    expect(spirometryRepeatability([1, 12_000], 3).best).toBe(12_000)
    expect(spirometryRepeatability([1], 120).best).toBe(1)
    expect(() => spirometryRepeatability([3000], 2)).toThrow('ageYears is 2; allowed: 3 to 120 a')
    expect(() => spirometryRepeatability([12_001], 40)).toThrow('whole numbers of mL, 1 to 12000')
    expect(() => spirometryRepeatability([2.5], 40)).toThrow(BadInput)
  })
})
