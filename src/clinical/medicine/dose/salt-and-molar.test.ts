import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { baseFromSalt, massOfMolar, mgFromMcg, saltFromBase } from './salt-and-molar.ts'

const source = expect.objectContaining({ key: 'definition' })

describe('salt and base', () => {
  it('albuterol: 2.5 mg of base is 3 mg of sulfate (US labels, rounded)', () => {
    const salt = saltFromBase(2.5, 239.3, 576.7)
    expect(salt).toEqual({
      value: expect.closeTo((2.5 * 576.7) / (2 * 239.3), 12),
      unit: 'mg',
      steps: ['2.5 mg × 576.7 ÷ (2 × 239.3) ≈ 3.01243 mg of salt'],
      sources: [source],
    })
    expect(Math.round(salt.value)).toBe(3)
  })
  it('counts the bases that a salt holds', () => {
    expect(saltFromBase(10, 100, 120, 1).value).toBe(12)
    expect(saltFromBase(10, 100, 240, 2).value).toBe(12)
    expect(baseFromSalt(12, 100, 120, 1)).toMatchObject({
      value: 10,
      unit: 'mg',
      steps: ['12 mg × (1 × 100) ÷ 120 = 10 mg of base'],
    })
  })
  it('goes there and back', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 100_000 }), (thousandths) => {
        const base = thousandths / 1000
        const back = baseFromSalt(saltFromBase(base, 239.3, 576.7).value, 239.3, 576.7).value
        expect(Math.abs(back / base - 1)).toBeLessThan(1e-10)
      }),
    )
  })
  it('names what cannot be used', () => {
    expect(() => saltFromBase(0, 1, 1)).toThrow(/^base is 0/)
    expect(() => saltFromBase(1e10, 1, 1)).toThrow(/^base .*mg$/)
    expect(() => saltFromBase(1, 0, 1)).toThrow(/^molecular weight of the base is 0/)
    expect(() => saltFromBase(1, 1e10, 1)).toThrow(/g\/mol$/)
    expect(() => saltFromBase(1, 1, 0)).toThrow(/^molecular weight of the salt is 0/)
    expect(() => saltFromBase(1, 1, 1e10)).toThrow(/g\/mol$/)
    expect(() => saltFromBase(1, 1, 1, 0)).toThrow(/^bases in the salt is 0/)
    expect(() => saltFromBase(1, 1, 1, 1e10)).toThrow(/1000000000$/)
    expect(() => baseFromSalt(0, 1, 1)).toThrow(/^salt is 0/)
    expect(() => baseFromSalt(1e10, 1, 1)).toThrow(/^salt .*mg$/)
  })
})

describe('massOfMolar', () => {
  it('is mmol/L × g/mol × volume, and warns that a molarity is often rounded', () => {
    const mass = massOfMolar(2.5, 250, 246.47)
    expect(mass.value).toBeCloseTo(154.04375, 8)
    expect(mass).toMatchObject({
      unit: 'mg',
      caution: 'a molarity on a label is often rounded: the printed mass goes first',
    })
    expect(mass.steps[0]).toBe('250 mmol/L × 246.47 g/mol ÷ 1000 = 61.6175 mg/mL')
  })
})

describe('mgFromMcg', () => {
  it('divides by a thousand', () => {
    expect(mgFromMcg(500)).toEqual({
      value: 0.5,
      unit: 'mg',
      steps: ['500 mcg ÷ 1000 = 0.5 mg'],
      sources: [source],
    })
    expect(() => mgFromMcg(0)).toThrow(/^dose is 0/)
    expect(() => mgFromMcg(1e10)).toThrow(/ug$/)
  })
})
