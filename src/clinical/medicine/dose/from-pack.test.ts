import { describe, expect, it } from 'vitest'
import { defaultFormulary } from '../formulary/formulary.ts'
import type { Supply } from '../formulary/medicine-schema.ts'
import type { Amount, AmountUnit } from './amount.ts'
import { toNumber } from './exact.ts'
import { packLike, volumeFromPack } from './from-pack.ts'
import { countedAmount } from './of-medicine.ts'
import { readStrength } from './read-strength.ts'

const medicine = (id: string) => {
  const found = defaultFormulary().medicine(id)
  if (found === null) throw new Error(id)
  return found
}
const volume = (id: string, packId: string, dose: Amount) => {
  const pack = medicine(id).supply.find((each) => each.id === packId)
  if (pack === undefined) throw new Error(packId)
  return volumeFromPack(medicine(id), pack, dose)
}

describe('volumeFromPack', () => {
  it.each([
    ['albuterol', '0.083', { value: 2.5, unit: 'mg' }, 3],
    ['albuterol', '0.083', { value: 1.25, unit: 'mg' }, 1.5],
    ['albuterol', '0.5-bottle', { value: 2.5, unit: 'mg' }, 0.5],
    ['ipratropium', '0.02', { value: 500, unit: 'mcg' }, 2.5],
    ['arformoterol', '15', { value: 15, unit: 'mcg' }, 2],
    ['lidocaine', '4', { value: 160, unit: 'mg' }, 4],
    ['ipratropium-albuterol', '3', { value: 1, unit: 'vial' }, 3],
    ['treprostinil', '1.74', { value: 9, unit: 'breath' }, 0.09],
  ] as const)('%s %s, %o: %s mL', (id, packId, dose, ml) => {
    expect(volume(id, packId, dose)).toMatchObject({ value: ml, unit: 'mL' })
  })
  it('says how', () => {
    expect(volume('albuterol', '0.083', { value: 1.25, unit: 'mg' }).steps).toEqual([
      '1.25 mg ÷ 2.5 mg × 3 mL = 1.5 mL',
    ])
    expect(volume('lidocaine', '4', { value: 160, unit: 'mg' }).steps).toEqual(['160 mg ÷ 40 mg/mL = 4 mL'])
  })
  it('does not draw from a powder, nor in a unit that the pack is not', () => {
    expect(() => volume('colistimethate', '1-MIU', { value: 1, unit: 'million IU' })).toThrow(
      /^pack is 1 000 000 IU vial; allowed: a pack with a known volume/,
    )
    expect(() => volume('albuterol', '0.083', { value: 3, unit: 'breath' })).toThrow(/^dose is 3 breath/)
    expect(() => volume('colistimethate', '1-MIU', { value: 75, unit: 'mg colistin base activity' })).toThrow(
      /^pack is/,
    )
    expect(() => volume('albuterol', '0.083', { value: 3, unit: 'vial' })).toThrow(
      'dose is 3 vial; allowed: an amount in mg, as the pack is',
    )
  })
})

describe('countedAmount', () => {
  const counted = (id: string, dose: Amount, strength: string | null = null) => {
    const found = countedAmount(medicine(id), dose, strength)
    return found && [toNumber(found.value), found.unit]
  }
  it('counts in the unit of the packs', () => {
    expect(counted('ipratropium', { value: 500, unit: 'mcg' })).toEqual([0.5, 'mg'])
    expect(counted('colistimethate', { value: 2_000_000, unit: 'IU' })).toEqual([2, 'million IU'])
    expect(counted('colistimethate', { value: 75, unit: 'mg colistin base activity' })).toEqual([
      75,
      'mg colistin base activity',
    ])
    expect(counted('ipratropium-albuterol', { value: 1.5, unit: 'mL' })).toEqual([0.5, 'vial'])
  })
  it('reads milliliters by the one strength there is, or by the one that is told', () => {
    expect(counted('ipratropium', { value: 2.5, unit: 'mL' })).toEqual([0.5, 'mg'])
    expect(counted('budesonide', { value: 2, unit: 'mL' })).toBeNull()
    expect(counted('budesonide', { value: 2, unit: 'mL' }, '0.5 mg/2 mL')).toEqual([0.5, 'mg'])
    expect(counted('budesonide', { value: 2, unit: 'mL' }, 'strong')).toBeNull()
    expect(counted('colistimethate', { value: 3, unit: 'mL' })).toBeNull()
  })
  it('goes by packs that agree with each other, and only then', () => {
    const pack = (
      amount: number | null,
      unit: AmountUnit,
      volumeMl: number | null,
      perMl: number | null,
    ): Supply => ({
      ...(medicine('ipratropium').supply[0] as Supply),
      amount,
      unit,
      volumeMl,
      perMl,
    })
    const of = (...supply: Supply[]) => {
      const found = countedAmount({ ...medicine('ipratropium'), supply }, { value: 2, unit: 'mL' }, null)
      return found && [toNumber(found.value), found.unit]
    }
    expect(of(pack(1, 'mg', 2, null), pack(null, 'mg', null, 0.5))).toEqual([1, 'mg'])
    expect(of(pack(1, 'mg', 2, 99))).toEqual([1, 'mg']) // amount and volume go before a rounded strength
    expect(of(pack(500, 'mcg', 1, null), pack(1, 'mg', 2, null))).toEqual([1, 'mg'])
    expect(of(pack(1, 'mg', 2, null), pack(2, 'mg', 2, null))).toBeNull()
    expect(of(pack(1, 'mg', 2, null), pack(null, 'mg', 2, null))).toBeNull()
    expect(of(pack(null, 'mg', null, null), pack(1, 'mg', 2, null))).toBeNull()
    expect(of(pack(1, 'mg', null, null))).toBeNull()
    expect(of(pack(1, 'mg', 2, null), pack(1, 'million IU', 2, null))).toBeNull()
    expect(of(pack(1, 'mg colistimethate sodium', 2, null))).toBeNull()
    expect(of()).toBeNull()
  })
  it('guesses nothing', () => {
    expect(() => counted('ipratropium', { value: 0, unit: 'mg' })).toThrow(/^dose is 0/)
    expect(() => counted('ipratropium', { value: 1e10, unit: 'mL' })).toThrow(/mL$/)
    expect(() => counted('treprostinil', { value: 1e10, unit: 'breath' })).toThrow(/\{breath\}$/)
    expect(counted('colistimethate', { value: 150, unit: 'mg' })).toBeNull()
    expect(counted('albuterol', { value: 2, unit: 'breath' })).toBeNull()
    expect(counted('albuterol', { value: 1, unit: 'vial' })).toBeNull()
    expect(() => counted('ipratropium', { value: 0, unit: 'mL' })).toThrow(/^dose is 0/)
    expect(() => counted('treprostinil', { value: -1, unit: 'breath' })).toThrow(/^dose is -1/)
  })
})

describe('packLike', () => {
  const like = (id: string, strength: string, containerMl: number | null) =>
    packLike(medicine(id), readStrength(strength), containerMl)?.id ?? null
  it.each([
    ['albuterol', '0.083 %', 3, '0.083'],
    ['albuterol', '2.5 mg/3 mL', 3, '0.083'],
    ['albuterol', '0.5 %', 20, '0.5-bottle'],
    ['albuterol', '0.5 %', 0.5, '0.5-unit'],
    ['albuterol', '0.5 %', null, null], // bottle or unit: not guessed
    ['albuterol', '0.083 %', 5, null],
    ['albuterol', '0.4 %', 20, null],
    ['lidocaine', '4 %', 5, '4'],
    ['arformoterol', '15 mcg/2 mL', 2, '15'],
    ['ipratropium-albuterol', '1 mg/3 mL', 3, null],
    ['colistimethate', '80 mg/3 mL', 3, null],
  ])('%s %s in %s mL is %s', (id, strength, containerMl, pack) => {
    expect(like(id, strength, containerMl)).toBe(pack)
  })
})
