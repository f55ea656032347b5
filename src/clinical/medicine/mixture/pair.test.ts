import { describe, expect, it } from 'vitest'
import mixing from '../data/mixing.json' with { type: 'json' }
import { defaultFormulary } from '../formulary/formulary.ts'
import { pairFacts, pairsOf } from './pair.ts'
import { pairDrafts } from './pair-drafts.ts'

const facts = (a: string, b: string) => pairFacts(defaultFormulary(), a, b)

describe('published pairs, each with its sources in the data', () => {
  const named = mixing.pairs.filter(({ b }) => b !== '*')
  it('are 78, of which 72 name both drugs', () => {
    expect(mixing.pairs).toHaveLength(78)
    expect(named).toHaveLength(72)
  })
  it.each(named)('$a and $b: $inVitro, in either order', ({ a, b, inVitro }) => {
    expect(facts(a, b).inVitro).toBe(inVitro)
    const { a: _, b: __, ...there } = facts(a, b)
    const { a: ___, b: ____, ...back } = facts(b, a)
    expect(back).toEqual({ ...there, sources: expect.arrayContaining([...there.sources]) })
    expect(back.sources).toHaveLength(there.sources.length)
  })
})

describe('two drugs of which each has an entry about any other drug', () => {
  const either = mixing.pairs.filter(({ b }) => b === '*').map(({ a }) => a)
  const both = either.flatMap((a) => either.filter((b) => b !== a).map((b) => [a, b] as const))
  it.each(both)('%s and %s: the stricter of the two, in either order', (a, b) => {
    const strict = ['aztreonam-lysine', 'amikacin-liposomal', 'treprostinil', 'iloprost']
    const found = strict.includes(a) || strict.includes(b) ? 'incompatible' : 'no data'
    expect(facts(a, b).inVitro).toBe(found)
    expect(facts(b, a).verdict).toBe(facts(a, b).verdict)
  })
})

describe('what follows for one cup', () => {
  it('asks about the same drug twice as a duplicate', () => {
    expect(facts('albuterol', 'albuterol')).toMatchObject({ verdict: 'ask', duplicate: true })
  })
  it.each([
    ['albuterol', 'ipratropium', 'share', 60],
    ['levalbuterol', 'ipratropium', 'share', 30],
    ['albuterol', 'sodium-chloride-0.9', 'share', null],
    ['ipratropium', 'sodium-chloride-0.9', 'share', null],
    ['budesonide', 'sodium-chloride-0.9', 'share', null],
    ['pentamidine', 'sterile-water', 'share', null],
    ['albuterol', 'budesonide', 'refuse', 30],
    ['albuterol', 'tobramycin', 'refuse', null],
    ['dornase', 'sodium-chloride-0.9', 'refuse', null],
    ['tobramycin', 'sodium-chloride-0.9', 'refuse', null],
    ['pentamidine', 'sodium-chloride-0.9', 'refuse', null],
    ['treprostinil', 'sodium-chloride-0.9', 'refuse', null],
    ['treprostinil', 'albuterol', 'refuse', null],
    ['cromolyn', 'benzalkonium-chloride', 'refuse', null],
    ['budesonide', 'terbutaline', 'refuse', 30],
    ['ipratropium', 'arformoterol', 'ask', 30],
    ['albuterol', 'magnesium-sulfate', 'ask', null],
    ['albuterol', 'sodium-chloride-7', 'ask', null],
    ['albuterol', 'levalbuterol', 'ask', null],
    ['albuterol', 'acetylcysteine', 'ask', null],
    ['cromolyn', 'acetylcysteine', 'ask', null],
    ['albuterol', 'something new', 'ask', null],
  ])('%s with %s: %s', (a, b, verdict, useWithinMin) => {
    expect(facts(a, b)).toMatchObject({ verdict, useWithinMin })
    expect(facts(b, a)).toMatchObject({ verdict, useWithinMin })
  })
  it('keeps what the laboratory found beside a label that forbids', () => {
    expect(facts('albuterol', 'budesonide')).toMatchObject({
      inVitro: 'compatible',
      label: { position: 'forbids' },
    })
    expect(facts('albuterol', 'budesonide').why).toContain(
      'a label forbids it, whatever the laboratory found',
    )
    expect(facts('albuterol', 'tobramycin')).toMatchObject({
      inVitro: 'compatible',
      label: { position: 'forbids' },
    })
  })
  it('says what an answer rests on when it rests on memory', () => {
    expect(facts('albuterol', 'sodium-chloride-7').why).toBe(
      'said to be compatible, from memory only: ask the pharmacist',
    )
    expect(facts('ipratropium', 'sodium-chloride-0.9').why).toBe(
      'compatible with the diluent, from memory only',
    )
    expect(facts('albuterol', 'sodium-chloride-0.9').why).toBe('compatible with the diluent')
    expect(facts('albuterol', 'ipratropium').why).toBe('compatible')
  })
  it('calls an absent pair no data and asks', () => {
    expect(facts('albuterol', 'something new')).toMatchObject({
      inVitro: 'no data',
      label: { position: 'silent', text: '' },
      why: 'no data were found: ask the pharmacist',
      sources: [expect.objectContaining({ key: 'no-data' })],
    })
  })
  it('asks about two of one kind as a duplicate', () => {
    expect(facts('arformoterol', 'formoterol')).toMatchObject({ duplicate: true, verdict: 'ask' })
  })
})

describe('the words of an answer', () => {
  it.each([
    ['albuterol', 'albuterol', 'the same drug twice: ask whether both are meant', []],
    [
      'arformoterol',
      'formoterol',
      'two drugs of one kind: ask whether both are meant',
      ['two long-acting beta-2 agonists: asked as a duplicate, not as a mixture'],
    ],
    ['cromolyn', 'benzalkonium-chloride', 'they do not stay whole together', []],
    [
      'albuterol',
      'magnesium-sulfate',
      'given together in a trial, without laboratory data: ask the pharmacist',
      ['nebulized together with ipratropium in the trial; no laboratory data read'],
    ],
    [
      'ipratropium',
      'arformoterol',
      'stable in the laboratory, yet arformoterol label, from memory: mixing is not established: ask the pharmacist',
      ['tested: 0.5 mg/2.5 mL with 15 mcg/2 mL'],
    ],
  ])('%s with %s: %s', (a, b, why, notes) => {
    expect(facts(a, b)).toMatchObject({ why, notes })
  })

  it('holds each label once: the word of the pair, and a drug’s own only where it says something else', () => {
    expect(facts('dornase', 'albuterol').label).toEqual({
      position: 'forbids',
      text: 'dornase label: never mixed',
    })
    expect(facts('treprostinil', 'sodium-chloride-0.9').label.position).toBe('forbids')
    expect(facts('albuterol', 'ipratropium').label).toMatchObject({
      position: 'allows',
      text: 'ipratropium label: with albuterol, used within an hour',
    })
  })
})

describe('pairsOf', () => {
  it('takes a combination apart, and leaves the maker’s own pair alone', () => {
    const names = (ids: readonly string[]) => pairsOf(defaultFormulary(), ids).map(({ a, b }) => `${a}+${b}`)
    expect(names(['ipratropium-albuterol'])).toEqual([])
    expect(names(['ipratropium-albuterol', 'budesonide'])).toEqual([
      'ipratropium+budesonide',
      'albuterol+budesonide',
    ])
    expect(names(['albuterol', 'ipratropium', 'albuterol'])).toEqual(['albuterol+ipratropium'])
    expect(names(['sodium-chloride-0.9', 'sodium-chloride-0.9'])).toEqual([])
    expect(names(['sodium-chloride-0.9', 'sterile-water'])).toEqual([])
  })
})

describe('a drug that comes out of two products', () => {
  it('is a pair with itself, which is asked about as a duplicate', () => {
    const pairs = pairsOf(defaultFormulary(), ['ipratropium-albuterol', 'albuterol'])
    expect(pairs.map(({ a, b, verdict, duplicate }) => [a, b, verdict, duplicate])).toEqual([
      ['albuterol', 'albuterol', 'ask', true],
    ])
    const drafts = pairDrafts(defaultFormulary(), ['albuterol', 'ipratropium-albuterol'])
    expect(drafts.map(({ code, severity, whoMustAnswer }) => [code, severity, whoMustAnswer])).toEqual([
      ['mixing:albuterol:albuterol', 'ask', 'prescriber'],
    ])
    expect(pairsOf(defaultFormulary(), ['ipratropium-albuterol', 'ipratropium-albuterol'])).toEqual([])
  })
})

describe('pairDrafts', () => {
  const codes = (...ids: string[]) =>
    pairDrafts(defaultFormulary(), ids).map(({ code, severity, whoMustAnswer }) => [
      code,
      severity,
      whoMustAnswer,
    ])
  it('stops what is refused, asks what is not known, is silent about what may be shared', () => {
    expect(codes('albuterol', 'ipratropium')).toEqual([])
    expect(codes('dornase', 'albuterol')).toEqual([['mixing:albuterol:dornase', 'stop', 'pharmacist']])
    expect(codes('albuterol', 'acetylcysteine')).toEqual([
      ['mixing:acetylcysteine:albuterol', 'ask', 'pharmacist'],
    ])
    expect(codes('albuterol', 'levalbuterol')).toEqual([
      ['mixing:albuterol:levalbuterol', 'ask', 'prescriber'],
    ])
  })
  it('refuses by the rule that labels go first, even where the label is remembered, and says so', () => {
    expect(codes('amikacin-liposomal', 'albuterol')).toEqual([
      ['mixing:albuterol:amikacin-liposomal', 'stop', 'pharmacist'],
    ])
    const sources = pairDrafts(defaultFormulary(), ['amikacin-liposomal', 'albuterol'])[0]?.sources ?? []
    expect(sources.map(({ standing }) => standing)).toEqual(['from memory', 'design rule'])
  })
  it('say what is to be done, and both sides of what is known', () => {
    const words = (...ids: string[]) =>
      pairDrafts(defaultFormulary(), ids).map(({ what, why }) => [what, why])
    expect(words('albuterol', 'acetylcysteine')).toEqual([
      [
        'albuterol and acetylcysteine in one cup: ask first',
        'no data were found: ask the pharmacist (laboratory: no data; label: nothing read)',
      ],
    ])
    expect(words('dornase', 'albuterol')).toEqual([
      [
        'dornase and albuterol in one cup: give them apart',
        'a label forbids it, whatever the laboratory found: dornase label: never mixed (laboratory: incompatible; label: dornase label: never mixed)',
      ],
    ])
    expect(words('albuterol', 'ipratropium', 'cromolyn')[0]?.[0]).toBe(
      '3 drugs in one cup: ask the pharmacist',
    )
  })
  it('asks about three drugs and more, whatever the pairs', () => {
    expect(codes('albuterol', 'ipratropium', 'cromolyn')).toEqual([
      ['mixing:three-or-more', 'ask', 'pharmacist'],
    ])
    expect(codes('ipratropium-albuterol', 'cromolyn').at(-1)?.[0]).toBe('mixing:three-or-more')
    expect(codes('albuterol', 'ipratropium', 'sodium-chloride-0.9')).toEqual([])
  })
})
