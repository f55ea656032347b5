import { describe, expect, it } from 'vitest'
import { reasonsToRefuse } from './refusal.ts'

const COLISTIMETHATE =
  'for colistimethate, activity units, mg of the sodium salt and mg of base activity are three different numbers, so the order has to name one'

describe('reasonsToRefuse', () => {
  it('units that are more than the fill', () => {
    expect(reasonsToRefuse({ unitsMl: [3, 2.5], targetFillMl: 3 })).toEqual([
      'target fill is 3 mL; allowed: at least the 5.5 mL that the drug takes up by itself; taking drug out would change the dose',
    ])
    expect(reasonsToRefuse({ unitsMl: [3, 2.5], targetFillMl: 5.5 })).toEqual([])
    expect(reasonsToRefuse({ unitsMl: [3, 0], targetFillMl: 5.5 })).toEqual([
      'volume of unit 2 is 0; allowed: a finite number above zero',
    ])
  })
  it('a dose that cannot be read one way only', () => {
    expect(reasonsToRefuse({ dose: '0,5' })[0]).toContain('the comma could be a decimal mark')
    expect(reasonsToRefuse({ dose: '0.5 mg' })).toEqual([])
    expect(reasonsToRefuse({ dose: 150 })).toEqual([`the dose 150 has no unit; ${COLISTIMETHATE}`])
  })
  it.each(['colistimethate sodium', 'Colistin', 'colistin methanesulfonate', 'Methanesulfonate'])(
    'plain mg of %s',
    (drug) => {
      expect(reasonsToRefuse({ dose: '150 mg', drug })).toEqual([COLISTIMETHATE])
      expect(reasonsToRefuse({ dose: '1 million IU', drug })).toEqual([])
      expect(reasonsToRefuse({ dose: '150 mg', drug: 'tobramycin' })).toEqual([])
      expect(reasonsToRefuse({ dose: '0,5 mg', drug })).toHaveLength(1)
    },
  )
  it('a dose above the largest single one, and not at it', () => {
    expect(reasonsToRefuse({ doseMg: 25, maxSingleMg: 10 })).toEqual([
      '25 mg is more than the largest single dose published, 10 mg: a slip of the decimal point is possible, so the prescriber is asked',
    ])
    expect(reasonsToRefuse({ doseMg: 10, maxSingleMg: 10 })).toEqual([])
    expect(reasonsToRefuse({ doseMg: 10.001, maxSingleMg: 10 })).toHaveLength(1)
    expect(reasonsToRefuse({ doseMg: 10 })).toEqual([])
    expect(reasonsToRefuse({ doseMg: 0, maxSingleMg: 10 })).toEqual([
      'dose is 0; allowed: a finite number above zero',
    ])
    expect(reasonsToRefuse({ doseMg: 1e10 })[0]).toBe('dose is 10000000000; allowed: 1e-9 to 1000000000 mg')
    expect(() => reasonsToRefuse({ doseMg: 1, maxSingleMg: 0 })).toThrow(/^largest single dose is 0/)
    expect(() => reasonsToRefuse({ doseMg: 1, maxSingleMg: 1e10 })).toThrow(/mg$/)
  })
  it('the volume of one epinephrine on the other', () => {
    const reasons = reasonsToRefuse({ drug: 'racemic epinephrine', strength: '2.25 %', mlPerKg: 0.5 })
    expect(reasons).toEqual([
      '0.5 mL/kg is a volume for L-epinephrine 1 mg/mL; of racemic 2.25 % (22.5 mg/mL) it would be about ten times the usual 0.05 mL/kg',
    ])
    expect(reasonsToRefuse({ drug: 'Racepinephrine', mlPerKg: 0.11 })).toHaveLength(1)
    expect(reasonsToRefuse({ drug: 'racemic epinephrine', mlPerKg: 0.1 })).toEqual([])
    expect(reasonsToRefuse({ drug: 'L-epinephrine', mlPerKg: 0.5 })).toEqual([])
    expect(reasonsToRefuse({ mlPerKg: 0.5 })).toEqual([])
    expect(() => reasonsToRefuse({ drug: 'racemic epinephrine', mlPerKg: 0 })).toThrow(/^volume per kg is 0/)
    expect(() => reasonsToRefuse({ drug: 'racemic epinephrine', mlPerKg: 1e10 })).toThrow(/mL\/kg$/)
  })
  it('a strength that cannot be read or used', () => {
    expect(reasonsToRefuse({ strength: '0,5 %' })[0]).toContain('the comma')
    expect(reasonsToRefuse({ strength: '0 %' })).toEqual([
      'percent is 0; allowed: a finite number above zero',
    ])
    expect(reasonsToRefuse({ strength: '0.5 %' })).toEqual([])
  })
  it('gives every reason, and refuses to judge nothing', () => {
    expect(reasonsToRefuse({ dose: '0,5', strength: '0 %', doseMg: 25, maxSingleMg: 10 })).toHaveLength(3)
    expect(() => reasonsToRefuse({})).toThrow(
      'proposal is nothing to judge; allowed: a dose, a fill or a strength',
    )
    expect(() => reasonsToRefuse({ unitsMl: [3] })).toThrow(/nothing to judge/)
    expect(() => reasonsToRefuse({ targetFillMl: 3 })).toThrow(/nothing to judge/)
  })
})
