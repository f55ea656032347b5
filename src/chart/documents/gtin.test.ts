import { describe, expect, it } from 'vitest'
import { defaultFormularyDocument } from '../../clinical/medicine/formulary/formulary-document.ts'
import { hasCheckDigit } from './gtin.ts'
import { MEDICINE_CODES } from './medicine-codes.ts'

describe('hasCheckDigit', () => {
  /** 6291041500213 is GS1's own worked example of the calculation; the others are sums done by hand (from memory). */
  it.each(['6291041500213', '09501101530003', '96385074', '00312345678906', '095011014560000112'])(
    'accepts %s',
    (number) => {
      expect(hasCheckDigit(number)).toBe(true)
    },
  )
  it.each(['00312345678960', '095011014560000121', '6291041500212', '', '7', '0950110153000A'])(
    'refuses %j',
    (number) => {
      expect(hasCheckDigit(number)).toBe(false)
    },
  )
  it('refuses every other last digit', () => {
    const accepted = Array.from({ length: 10 }, (_, digit) => `0950110153000${digit}`).filter(hasCheckDigit)
    expect(accepted).toEqual(['09501101530003'])
  })
})

describe('the products that come along', () => {
  it('each have a number of their own under the prefix of GS1 examples', () => {
    const gtins = MEDICINE_CODES.defaults.products.flatMap((product) => product.gtins)
    expect(gtins.length).toBeGreaterThanOrEqual(30)
    expect(gtins.filter((gtin) => !gtin.startsWith('09501101'))).toEqual([])
  })
  it('and codes name every medicine of the formulary and no other', () => {
    const formulary = defaultFormularyDocument()
      .medicines.map(({ id }) => id)
      .sort()
    const { codes, products } = MEDICINE_CODES.defaults
    expect(codes.map(({ medicineId }) => medicineId).sort()).toEqual(formulary)
    expect([...new Set(products.map(({ medicineId }) => medicineId))].sort()).toEqual(formulary)
  })
  it('hold a volume in which the formulary knows the medicine to be supplied', () => {
    const supplied = new Map(
      defaultFormularyDocument().medicines.map(({ id, supply }) => [
        id,
        supply.map(({ volumeMl }) => volumeMl),
      ]),
    )
    const odd = MEDICINE_CODES.defaults.products.filter(
      ({ medicineId, containerMl }) =>
        containerMl !== null && !supplied.get(medicineId)?.includes(containerMl),
    )
    expect(odd.map(({ productId }) => productId)).toEqual([])
  })
  it('cover the codes met in sample orders', () => {
    const meaning = new Map(MEDICINE_CODES.defaults.codes.map(({ code, medicineId }) => [code, medicineId]))
    expect(['MED0101', 'MED0102', 'MED0104', 'MED0109', 'DIL0001'].map((code) => meaning.get(code))).toEqual([
      'albuterol',
      'ipratropium',
      'budesonide',
      'sodium-chloride-3',
      'sodium-chloride-0.9',
    ])
  })
})
