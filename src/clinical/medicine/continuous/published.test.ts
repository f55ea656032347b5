import { describe, expect, it } from 'vitest'
import { continuousMix } from './mix.ts'
import { PUBLISHED_CUP_OUTPUTS, PUBLISHED_RUNS } from './published.ts'

describe('published continuous runs', () => {
  it('two cups, each with a range around its mean and a source that was read', () => {
    expect(PUBLISHED_CUP_OUTPUTS.map(({ kind, likelyMlPerH }) => [kind, likelyMlPerH])).toEqual([
      ['large-volume', 45.96],
      ['small-volume, pump-fed', 15.88],
    ])
    for (const { likelyMlPerH, lowMlPerH = 0, highMlPerH = 0, source } of PUBLISHED_CUP_OUTPUTS) {
      expect(lowMlPerH).toBeLessThan(likelyMlPerH)
      expect(highMlPerH).toBeGreaterThan(likelyMlPerH)
      expect(source.standing).toBe('verified')
    }
  })
  it('fit into a mix as they are', () => {
    const [output = { likelyMlPerH: 0 }] = PUBLISHED_CUP_OUTPUTS
    const mix = continuousMix({ mgPerH: 15, stock: { as: 'mg/mL', mgPerMl: 5 }, output, hours: 4 })
    expect(mix.concentration.value).toBeCloseTo(0.32637, 5)
    expect(mix.leavesCup.spread?.low).toBeCloseTo(12.304, 3)
  })
  it('say what left the cup and what was inhaled', () => {
    expect(PUBLISHED_RUNS).toHaveLength(6)
    expect(PUBLISHED_RUNS[2]?.text).toBe(
      '18 mL reservoir with 4 mL, fed with 10 mL/h of 1 mg/mL: 5.85 ± 0.51 mg/h left the cup in droplets',
    )
    expect(PUBLISHED_RUNS[5]?.text).toBe('adult model, mask, large-volume: 0.87 to 3.48 mg/h were inhaled')
  })
})
