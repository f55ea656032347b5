import { describe, expect, it } from 'vitest'
import { BadInput } from '../../worked.ts'
import { defaultFormulary } from '../formulary/formulary.ts'
import { type CupToMix, mixture } from './mixture.ts'

const mix = (asked: CupToMix) => mixture(defaultFormulary(), asked)
const codes = (asked: CupToMix) => mix(asked).findings.map(({ code, severity }) => `${severity} ${code}`)
const albuterol = { medicineId: 'albuterol', supplyId: '0.083', volumeMl: 3 }
const concentrate = { medicineId: 'albuterol', supplyId: '0.5-bottle', volumeMl: 0.5 }
const ipratropium = { medicineId: 'ipratropium', supplyId: '0.02', volumeMl: 2.5 }
const budesonide = { medicineId: 'budesonide', supplyId: '0.5', volumeMl: 2 }

describe('a cup that may be mixed', () => {
  const made = mix({ portions: [ipratropium, concentrate], targetFillMl: 4 })
  it('adds up, fills up, and says how long it may wait', () => {
    expect([made.drug.value, made.diluent.value, made.verdict, made.useWithinMin]).toEqual([
      3,
      1,
      'share',
      60,
    ])
    expect(made.diluent.steps).toEqual(['2.5 mL + 0.5 mL = 3 mL', '4 mL − 3 mL = 1 mL of diluent'])
  })
  it('looks at every pair, the diluent too', () => {
    expect(made.pairs.map(({ a, b }) => `${a}+${b}`)).toEqual([
      'ipratropium+albuterol',
      'ipratropium+sodium-chloride-0.9',
      'albuterol+sodium-chloride-0.9',
    ])
  })
  it('adds what is measured first and the diluent last, by common practice', () => {
    expect(made.adding.map(({ medicineId, volumeMl }) => [medicineId, volumeMl])).toEqual([
      ['albuterol', 0.5],
      ['ipratropium', 2.5],
      ['sodium-chloride-0.9', 1],
    ])
    expect(made.adding[0]?.how).toContain('measured with a syringe first')
    expect(made.adding[1]?.how).toBe('the unit opened and poured')
    expect(made.adding[2]?.how).toBe('up to the fill')
    expect(made.adding[0]?.source.standing).toBe('common practice, no source')
  })
  it('tells what mixing did to the mist', () => {
    expect(made.mist).toEqual([
      'albuterol with ipratropium: fine mass of albuterol rose from 917 to 1172 mcg with a breath-enhanced jet',
    ])
  })
  it('has nothing against it', () => {
    expect(made.findings).toEqual([])
  })
})

describe('what speaks against a cup', () => {
  it('a label, with the laboratory’s fact kept', () => {
    const made = mix({ portions: [albuterol, budesonide], targetFillMl: 5 })
    expect(made.verdict).toBe('refuse')
    expect(made.findings.map(({ code }) => code)).toEqual(['mixing:albuterol:budesonide'])
    expect(made.pairs[0]).toMatchObject({ inVitro: 'compatible', useWithinMin: 30 })
    expect(made.adding.map(({ medicineId }) => medicineId)).toEqual(['albuterol', 'budesonide'])
    expect(made.adding[1]?.how).toContain('swirled')
  })
  it('a preservative', () => {
    const cromolyn = { medicineId: 'cromolyn', supplyId: '20', volumeMl: 2 }
    expect(codes({ portions: [concentrate, cromolyn], targetFillMl: 3 })).toContain(
      'stop preservative-clash:cromolyn',
    )
    expect(codes({ portions: [albuterol, cromolyn], targetFillMl: 5 })).toEqual([])
    expect(codes({ portions: [concentrate], targetFillMl: 3, repeated: true })).toEqual([
      'caution preservative-repeated',
    ])
    expect(codes({ portions: [concentrate], targetFillMl: 3, repeated: false })).toEqual([])
    expect(codes({ portions: [albuterol], targetFillMl: 3, repeated: true })).toEqual([])
  })
  it('a concentrate by itself, undiluted', () => {
    expect(codes({ portions: [{ ...concentrate, volumeMl: 3 }], targetFillMl: 3 })).toEqual([
      'stop concentrate-undiluted',
    ])
    expect(codes({ portions: [concentrate], targetFillMl: 3 })).toEqual([])
  })
  it('a drug that is to be given alone, or undiluted', () => {
    const dornase = { medicineId: 'dornase', volumeMl: 2.5 }
    expect(codes({ portions: [dornase], targetFillMl: 2.5 })).toEqual([])
    expect(codes({ portions: [dornase], targetFillMl: 3 })).toEqual([
      'stop mixing:dornase:sodium-chloride-0.9',
    ])
    expect(codes({ portions: [dornase, albuterol], targetFillMl: 5.5 })).toEqual([
      'stop given-alone:dornase',
      'stop mixing:albuterol:dornase',
    ])
  })
  it('the wrong diluent', () => {
    const pentamidine = { medicineId: 'pentamidine', volumeMl: 6 }
    expect(codes({ portions: [pentamidine], targetFillMl: 7 })).toContain(
      'ask mixing:pentamidine:sodium-chloride-0.9', // from memory: it asks,
    )
    expect(codes({ portions: [pentamidine], targetFillMl: 7, diluentId: 'sterile-water' })).toEqual([
      'ask room-and-filter:pentamidine',
    ])
  })
  it('the nebulizer in the hand', () => {
    const withCup = (portion: { medicineId: string; volumeMl: number }, cup: CupToMix['cup'] = {}) =>
      codes({ portions: [portion], targetFillMl: portion.volumeMl, cup })
    expect(withCup(budesonide, { nebulizer: 'ultrasonic' })).toEqual([
      'stop suspension-in-ultrasonic:budesonide',
    ])
    expect(withCup(budesonide, { nebulizer: 'mesh' })).toEqual(['ask nebulizer-not-named:budesonide'])
    expect(withCup(albuterol, { nebulizer: 'jet' })).toEqual([])
    expect(
      withCup({ medicineId: 'treprostinil', volumeMl: 2.9 }, { nebulizer: 'ultrasonic', ownDevice: false }),
    ).toEqual(['stop own-device:treprostinil'])
  })
  it('a fill that the cup does not hold, or that is small for a jet', () => {
    const fill = (targetFillMl: number, cup: CupToMix['cup']) =>
      codes({ portions: [{ medicineId: 'albuterol', volumeMl: 0.5 }], targetFillMl, ...(cup && { cup }) })
    expect(fill(10, { maximumFillMl: 10 })).toEqual([])
    expect(fill(10.1, { maximumFillMl: 10 })).toEqual(['stop fill-above-cup'])
    expect(fill(3, { nebulizer: 'jet' })).toEqual([])
    expect(fill(2.9, { nebulizer: 'jet' })).toEqual(['caution fill-small'])
    expect(fill(2.9, { nebulizer: 'mesh' })).toEqual([])
  })
  it('three drugs', () => {
    expect(
      codes({
        portions: [albuterol, ipratropium, { medicineId: 'cromolyn', volumeMl: 2 }],
        targetFillMl: 7.5,
      }),
    ).toEqual(['ask mixing:three-or-more'])
  })
})

describe('what a finding says', () => {
  const first = (asked: CupToMix) => mix(asked).findings[0]
  const drop = { medicineId: 'albuterol', volumeMl: 0.5 }

  it('of a fill that the cup does not hold: both volumes, and who must answer', () => {
    expect(first({ portions: [drop], targetFillMl: 10.1, cup: { maximumFillMl: 10 } })).toMatchObject({
      what: 'the fill is more than the cup holds: 10 mL',
      why: '10.1 mL are wanted',
      whoMustAnswer: 'therapist',
      sources: [expect.stringMatching(/design rule/)],
    })
  })

  it('of a small fill: how small, why it matters, and what that rests on', () => {
    expect(first({ portions: [drop], targetFillMl: 2.5, cup: { nebulizer: 'jet' } })).toMatchObject({
      what: expect.stringMatching(/^a fill of 2.5 mL: many jet cups work poorly under 3 mL/),
      why: expect.stringMatching(/stays behind/),
      whoMustAnswer: 'therapist',
      sources: [expect.stringMatching(/\(verified\)$/), expect.stringMatching(/no source\)$/)],
    })
  })

  it('of a kind of nebulizer that no source names: those that are named, for the pharmacist', () => {
    const portions = [{ medicineId: 'budesonide', supplyId: '0.5', volumeMl: 2 }]
    expect(first({ portions, targetFillMl: 2, cup: { nebulizer: 'mesh' } })).toMatchObject({
      what: 'budesonide: ask whether this kind of nebulizer will do: mesh',
      why: 'sources name: jet, breath-enhanced, breath-actuated',
      whoMustAnswer: 'pharmacist',
    })
  })
})

describe('the verdict', () => {
  it('is the strictest of all pairs', () => {
    const verdict = (...medicineIds: string[]) =>
      mix({
        portions: medicineIds.map((medicineId) => ({ medicineId, volumeMl: 2 })),
        targetFillMl: 2 * medicineIds.length,
      }).verdict
    expect(verdict('albuterol')).toBe('share')
    expect(verdict('albuterol', 'ipratropium')).toBe('share')
    expect(verdict('albuterol', 'ipratropium', 'acetylcysteine')).toBe('ask')
    expect(verdict('albuterol', 'acetylcysteine', 'dornase')).toBe('refuse')
  })
})

describe('how long a cup may wait', () => {
  it('is as long as the pair that keeps least', () => {
    const made = mix({ portions: [ipratropium, albuterol, budesonide], targetFillMl: 8 })
    expect(made.pairs.flatMap(({ useWithinMin }) => useWithinMin ?? []).toSorted()).toEqual(
      expect.arrayContaining([30, 60]),
    )
    expect(made.useWithinMin).toBe(30)
  })
  it('is not said where no pair says it', () => {
    expect(mix({ portions: [ipratropium], targetFillMl: 2.5 }).useWithinMin).toBe(null)
  })
})

describe('a cup that was mixed long before', () => {
  it('is told apart from a fresh one', () => {
    const asked = { portions: [{ medicineId: 'colistimethate', volumeMl: 4 }], targetFillMl: 4 }
    expect(codes({ ...asked, premixed: true })).toContain('stop premixed:colistimethate')
    expect(codes({ ...asked, premixed: false })).not.toContain('stop premixed:colistimethate')
    expect(codes(asked)).not.toContain('stop premixed:colistimethate')
  })
})

describe('a pack that is not known', () => {
  const unknown = { medicineId: 'ipratropium', volumeMl: 2.5 }
  it('does not hide the preservative of one that is', () => {
    expect(codes({ portions: [concentrate, unknown], targetFillMl: 3, repeated: true })).toEqual([
      'caution preservative-repeated',
    ])
  })
  it.each([
    ['cromolyn', '20'],
    ['colistimethate', undefined],
  ])('is asked about beside %s, when one of its packs holds what clashes', (medicineId, supplyId) => {
    const clashing = { medicineId, volumeMl: 2, ...(supplyId && { supplyId }) }
    const some = { medicineId: 'albuterol', volumeMl: 3 }
    const asked = { portions: [some, clashing], targetFillMl: 5 }
    const found = mix(asked).findings.filter(({ code }) => code.startsWith('pack-unknown'))
    expect(found).toEqual([
      expect.objectContaining({
        code: `pack-unknown:preservative-clash:${medicineId}`,
        severity: 'ask',
        what: expect.stringMatching(/^say which pack it is \(.*lbuterol\): .*without benzalkonium chloride$/),
        why: expect.stringMatching(/^some of its packs hold a preservative; the two do not stay/),
        whoMustAnswer: 'pharmacist',
      }),
    ])
    expect(codes({ ...asked, portions: [albuterol, clashing] }).join()).not.toContain('preservative')
    expect(codes({ ...asked, portions: [{ ...concentrate }, clashing] }).join()).toContain(
      `stop preservative-clash:${medicineId}`,
    )
    expect(codes({ ...asked, portions: [{ ...concentrate }, clashing] }).join()).not.toContain('pack-unknown')
  })
  it('is asked about when doses are frequent, and not when none of its packs holds any', () => {
    const some = { medicineId: 'albuterol', volumeMl: 3 }
    expect(codes({ portions: [some], targetFillMl: 3, repeated: true })).toEqual([
      'caution pack-unknown:preservative-repeated',
    ])
    expect(codes({ portions: [some], targetFillMl: 3, repeated: false })).toEqual([])
    expect(codes({ portions: [unknown], targetFillMl: 2.5, repeated: true }).join()).not.toContain('pack')
  })
  it('keeps a concentrate from being called undiluted: it may be what dilutes it', () => {
    const asked = { portions: [concentrate, unknown], targetFillMl: 3 }
    expect(codes(asked)).not.toContain('stop concentrate-undiluted')
    const both = [concentrate, { ...concentrate, medicineId: 'levalbuterol', supplyId: '1.25-concentrate' }]
    expect(codes({ portions: both, targetFillMl: 1 })).toContain('stop concentrate-undiluted')
  })
})

describe('input that cannot be used', () => {
  it.each([
    [{ portions: [], targetFillMl: 3 }, /^units is an empty list/],
    [{ portions: [{ medicineId: 'snow', volumeMl: 3 }], targetFillMl: 3 }, /^medicineId is snow/],
    [
      { portions: [{ ...albuterol, supplyId: 'x' }], targetFillMl: 3 },
      /^supplyId is x; allowed: 0.083, 0.042/,
    ],
    [{ portions: [albuterol], targetFillMl: 2 }, /^target fill is 2 mL/],
    [{ portions: [albuterol], targetFillMl: Number.NaN }, /^target fill is NaN/],
    [
      { portions: [albuterol], targetFillMl: 4, diluentId: 'milk' },
      /^diluent is milk; allowed: sodium-chloride-0.9 or sterile-water/,
    ],
    [{ portions: [albuterol], targetFillMl: 3, cup: { maximumFillMl: 0 } }, /^maximum fill is 0/],
  ])('%o', (asked, message) => {
    expect(() => mix(asked)).toThrow(BadInput)
    expect(() => mix(asked)).toThrow(message)
  })
})
