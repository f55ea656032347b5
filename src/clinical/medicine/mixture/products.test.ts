import { describe, expect, it } from 'vitest'
import { defaultFormulary } from '../formulary/formulary.ts'
import { pairFacts } from './pair.ts'
import { productFacts } from './products.ts'

const facts = (a: string, b: string) => productFacts(defaultFormulary(), a, b)
const COMBINATION = 'ipratropium-albuterol'

describe('two products in one cup', () => {
  it('are what their pair is when neither is a combination', () => {
    expect(facts('albuterol', 'budesonide')).toEqual(pairFacts(defaultFormulary(), 'albuterol', 'budesonide'))
  })

  it.each([
    ['cromolyn', 'compatible', 'share', null],
    ['dornase', 'incompatible', 'refuse', null],
    ['budesonide', 'compatible', 'refuse', 30],
    ['tobramycin', 'no data', 'refuse', null],
    ['levalbuterol', 'no data', 'ask', 30],
    ['acetylcysteine', 'no data', 'ask', null],
    ['magnesium-sulfate', 'used together in trial', 'ask', null],
    ['sodium-chloride-0.9', 'compatible', 'share', null],
  ] as const)(
    'a combination with %s is told by its parts: %s, %s',
    (other, inVitro, verdict, useWithinMin) => {
      for (const told of [facts(COMBINATION, other), facts(other, COMBINATION)])
        expect(told).toMatchObject({ inVitro, verdict, useWithinMin })
      expect(facts(COMBINATION, other)).toMatchObject({ a: COMBINATION, b: other })
    },
  )

  it('says which pairs decide, and what is noted of which', () => {
    expect(facts(COMBINATION, 'acetylcysteine').why).toBe(
      'albuterol and acetylcysteine: no data were found: ask the pharmacist',
    )
    expect(facts(COMBINATION, 'cromolyn').notes).toEqual([
      'ipratropium and cromolyn: units without preservative',
      'albuterol and cromolyn: units without preservative',
    ])
    expect(facts(COMBINATION, 'dornase').label).toEqual({
      position: 'forbids',
      text: 'dornase label: never mixed',
    })
    expect(facts(COMBINATION, 'cromolyn').sources.map(({ key }) => key)).toEqual(['KAMIN2006'])
  })

  it('asks about a drug that is in both', () => {
    expect(facts(COMBINATION, 'albuterol')).toMatchObject({ duplicate: true, verdict: 'ask' })
    expect(facts(COMBINATION, COMBINATION)).toMatchObject({ duplicate: true, verdict: 'ask' })
    expect(facts(COMBINATION, 'cromolyn').duplicate).toBe(false)
  })
})
