import { describe, expect, it } from 'vitest'
import { BadInput } from '../../worked.ts'
import { readStrength } from './read-strength.ts'
import { strengthMgPerMl } from './strength.ts'

describe('readStrength', () => {
  it.each([
    ['0.5 %', { as: 'percent', percent: 0.5 }],
    ['20%', { as: 'percent', percent: 20 }],
    [' 2.25  % ', { as: 'percent', percent: 2.25 }],
    ['0.5 % w/v', { as: 'percent', percent: 0.5 }],
    ['0.083%(W/V)', { as: 'percent', percent: 0.083 }],
    ['1:1000', { as: 'ratio', oneGramInMl: 1000 }],
    ['1 : 200', { as: 'ratio', oneGramInMl: 200 }],
    ['1 in 400', { as: 'ratio', oneGramInMl: 400 }],
    ['5 mg/mL', { as: 'mg/mL', mgPerMl: 5 }],
    ['5mg/ml', { as: 'mg/mL', mgPerMl: 5 }],
    ['5 mg per mL', { as: 'mg/mL', mgPerMl: 5 }],
    ['7.5 mcg/mL', { as: 'mg/mL', mgPerMl: 0.0075 }],
    ['2.5 mg/3 mL', { as: 'unit dose', amountMg: 2.5, volumeMl: 3 }],
    ['2.5 mg in 3 mL', { as: 'unit dose', amountMg: 2.5, volumeMl: 3 }],
    ['15 mcg/2 mL', { as: 'unit dose', amountMg: 0.015, volumeMl: 2 }],
    ['15 ug/2 mL', { as: 'unit dose', amountMg: 0.015, volumeMl: 2 }],
    ['15 µg/2 mL', { as: 'unit dose', amountMg: 0.015, volumeMl: 2 }],
    ['15 \u03bcg/2 mL', { as: 'unit dose', amountMg: 0.015, volumeMl: 2 }], // the Greek letter, not the micro sign
    ['20 micrograms/mL', { as: 'mg/mL', mgPerMl: 0.02 }],
    ['2 milligrams per 1 milliliter', { as: 'unit dose', amountMg: 2, volumeMl: 1 }],
    ['1 g/10 mL', { as: 'unit dose', amountMg: 1000, volumeMl: 10 }],
    ['5 percent', { as: 'percent', percent: 5 }],
    ['5 mg/1 mL', { as: 'unit dose', amountMg: 5, volumeMl: 1 }],
    ['5 mg/cc', { as: 'mg/mL', mgPerMl: 5 }],
    ['2.5 mg/3 cc', { as: 'unit dose', amountMg: 2.5, volumeMl: 3 }],
    ['5 g/L', { as: 'unit dose', amountMg: 5000, volumeMl: 1000 }],
    ['250 mg per liter', { as: 'unit dose', amountMg: 250, volumeMl: 1000 }],
    ['1 g/0.7 l', { as: 'unit dose', amountMg: 1000, volumeMl: 700 }],
    ['50 mg/dL', { as: 'unit dose', amountMg: 50, volumeMl: 100 }],
  ])('%s', (text, strength) => {
    expect(readStrength(text)).toEqual(strength)
  })
  it.each([
    ['0,5 %', 'here the comma could be a decimal mark or a thousands mark'],
    ['.5 %', 'here there is no zero before the decimal point'],
    ['1:1,000', 'here the comma could be a decimal mark or a thousands mark'],
    ['2:1000', 'allowed: 1:n, that is 1 g in n mL'],
    ['5 mg/0,5 mL', 'here the comma'],
    ['5', 'allowed: a strength such as 0.5 %, 1:1000, 5 mg/mL, 20 mcg/mL, 5 g/L or 2.5 mg/3 mL'],
    ['5 mg/0 mL', 'allowed: an amount in a volume above zero'],
    ['5 g/constructor', 'allowed: a strength such as'],
    ['5 constructor/mL', 'allowed: a strength such as'],
    ['5 g/lb', 'allowed: a strength such as'],
    ['5 percent of 3', 'allowed: a strength such as'],
    ['5 mg', 'allowed: a strength such as'],
    ['x 5 mg/mL', 'allowed: a strength such as'],
    ['5 mg/mL x', 'allowed: a strength such as'],
    ['5 vials/mL', 'allowed: a strength such as'],
    ['5 IU/mL', 'allowed: a strength such as'],
    ['5 mg/breath', 'allowed: a strength such as'],
    ['5 furlongs/mL', 'allowed: a strength such as'],
    ['x0.5 %', 'allowed: a strength such as'],
    ['0.5 % x', 'allowed: a strength such as'],
    ['0.5 % w/w', 'allowed: a strength such as'],
    ['0.5 % (w/v', 'allowed: a strength such as'],
    ['x1:10', 'allowed: a strength such as'],
    ['1:10x', 'allowed: a strength such as'],
    ['0.5 mg + 2.5 mg/3 mL', 'allowed: a strength such as'],
    ['1 000 000 IU', 'allowed: a strength such as'],
    ['', 'allowed: a strength such as'],
  ])('refuses %s', (text, why) => {
    expect(() => readStrength(text)).toThrow(BadInput)
    expect(() => readStrength(text)).toThrow(why)
    expect(() => readStrength(text)).toThrow(`strength is ${text}; allowed: `)
  })
  it.each([
    ['5 g/L', 5],
    ['5 mg/cc', 5],
    ['0.25 g/L', 0.25],
    ['50 mg/dL', 0.5],
  ])('%s is %d mg/mL', (text, mgPerMl) => {
    expect(strengthMgPerMl(readStrength(text)).value).toBe(mgPerMl)
  })
  it('leaves a strength of zero to the sum, which refuses it', () => {
    expect(() => strengthMgPerMl(readStrength('0 %'))).toThrow(/^percent is 0/)
  })
})
