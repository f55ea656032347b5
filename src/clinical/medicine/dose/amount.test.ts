import { UcumLhcUtils } from '@lhncbc/ucum-lhc'
import { describe, expect, it } from 'vitest'
import { BadInput } from '../../worked.ts'
import {
  AMOUNT_UNITS,
  type AmountUnit,
  amountText,
  decimalProblems,
  inUnit,
  readAmount,
  sameFamily,
  unitSpelled,
} from './amount.ts'
import { toNumber } from './exact.ts'

describe('amountText', () => {
  it('counts vials and breaths in the plural, and leaves measures as they are', () => {
    expect(amountText({ value: 1, unit: 'vial' })).toBe('1 vial')
    expect(amountText({ value: 6, unit: 'vial' })).toBe('6 vials')
    expect(amountText({ value: 9, unit: 'breath' })).toBe('9 breaths')
    expect(amountText({ value: 2.5, unit: 'mg' })).toBe('2.5 mg')
    expect(amountText({ value: 6, unit: 'million IU' })).toBe('6 million IU')
  })
})

describe('unitSpelled', () => {
  it.each([
    ['mg', 'mg'],
    [' mg ', 'mg'],
    ['MG', 'mg'],
    ['milligram', 'mg'],
    ['milligrams', 'mg'],
    ['mcg', 'mcg'],
    ['ug', 'mcg'],
    ['µg', 'mcg'],
    ['μg', 'mcg'],
    ['microgram', 'mcg'],
    ['micrograms', 'mcg'],
    ['g', 'g'],
    ['gram', 'g'],
    ['grams', 'g'],
    ['ml', 'mL'],
    ['mL', 'mL'],
    ['milliliter', 'mL'],
    ['milliliters', 'mL'],
    ['millilitre', 'mL'],
    ['millilitres', 'mL'],
    ['cc', 'mL'],
    ['IU', 'IU'],
    ['iu', 'IU'],
    ['[iU]', 'IU'],
    ['million IU', 'million IU'],
    ['Million iu', 'million IU'],
    ['10*6.[iU]', 'million IU'],
    ['vial', 'vial'],
    ['vials', 'vial'],
    ['{vial}', 'vial'],
    ['breath', 'breath'],
    ['breaths', 'breath'],
    ['{breath}', 'breath'],
    ['mg colistin base activity', 'mg colistin base activity'],
    ['mg colistimethate sodium', 'mg colistimethate sodium'],
  ])('%s is %s', (text, unit) => {
    expect(unitSpelled(text)).toBe(unit)
  })
  it.each(['', 'u', 'units', 'puffs', 'm', '%', 'mg/mL', 'constructor', 'toString', '__proto__'])(
    '%s is not guessed',
    (text) => {
      expect(unitSpelled(text)).toBeNull()
    },
  )
})

describe('inUnit', () => {
  const turned = (value: number, from: AmountUnit, to: AmountUnit) =>
    toNumber(inUnit('dose', { value, unit: from }, to))
  it('turns within a family, exactly', () => {
    expect(turned(500, 'mcg', 'mg')).toBe(0.5)
    expect(turned(0.5, 'mg', 'mcg')).toBe(500)
    expect(turned(2, 'g', 'mg')).toBe(2000)
    expect(turned(1_000_000, 'IU', 'million IU')).toBe(1)
    expect(turned(3, 'vial', 'vial')).toBe(3)
  })
  it('agrees with UCUM on mass, computed by ucum-lhc 7.1.10', () => {
    const ucum = UcumLhcUtils.getInstance()
    const pairs = [
      ['ug', 'mg', 'mcg', 'mg'],
      ['g', 'ug', 'g', 'mcg'],
    ] as const
    for (const [fromCode, toCode, from, to] of pairs) {
      const answer = ucum.convertUnitTo(fromCode, 250, toCode)
      expect(answer.status).toBe('succeeded')
      expect(turned(250, from, to)).toBeCloseTo(answer.toVal ?? Number.NaN, 9)
    }
    expect(ucum.convertUnitTo('[iU]', 1, 'mg').status).toBe('failed') // units of activity have no mass
  })
  it('never turns across families', () => {
    const families = AMOUNT_UNITS.map((unit) => AMOUNT_UNITS.filter((other) => sameFamily(unit, other)))
    expect(families.map((alike) => alike.length)).toEqual([3, 3, 3, 2, 2, 1, 1, 1, 1, 1])
    expect(() => turned(150, 'mg', 'mg colistin base activity')).toThrow(BadInput)
    expect(() => turned(150, 'mg', 'million IU')).toThrow(
      'dose is 150 mg; allowed: an amount in million IU; mg and million IU are never turned into each other here',
    )
  })
  it('refuses what is no amount', () => {
    expect(() => turned(0, 'mg', 'mcg')).toThrow(/^dose is 0/)
    expect(() => turned(1e10, 'mg', 'mcg')).toThrow(/1000000000 mg$/)
  })
})

describe('readAmount', () => {
  it.each([
    ['2.5 mg', { value: 2.5, unit: 'mg' }],
    [' 500mcg ', { value: 500, unit: 'mcg' }],
    ['1 million IU', { value: 1, unit: 'million IU' }],
    ['0.5 mL', { value: 0.5, unit: 'mL' }],
  ])('reads %s', (text, amount) => {
    expect(readAmount(text)).toEqual(amount)
  })
  it.each([
    ['0,5', 'here the comma could be a decimal mark or a thousands mark, and the unit is missing'],
    ['1,000 mg', 'here the comma could be a decimal mark or a thousands mark'],
    ['.5 mg', 'here there is no zero before the decimal point'],
    ['5', 'here the unit is missing'],
    ['5 puffs', 'here the unit puffs is not known'],
    ['1.2.3 mg', 'here the number cannot be read'],
    ['5. mg', 'here the number cannot be read'],
    ['mg', 'allowed: a number and its unit, for example 2.5 mg'],
    ['', 'allowed: a number and its unit, for example 2.5 mg'],
    ['-5 mg', 'allowed: a number and its unit, for example 2.5 mg'],
  ])('refuses %s', (text, why) => {
    expect(() => readAmount(text)).toThrow(BadInput)
    expect(() => readAmount(text)).toThrow(why)
    expect(() => readAmount(text)).toThrow(
      `dose is ${text}; allowed: a number and its unit, for example 2.5 mg`,
    )
  })
  it('says the same as data', () => {
    expect(decimalProblems('0.5')).toEqual([])
    expect(decimalProblems('10')).toEqual([])
    expect(decimalProblems('x10')).toEqual(['the number cannot be read'])
    expect(decimalProblems('10x')).toEqual(['the number cannot be read'])
  })
})
