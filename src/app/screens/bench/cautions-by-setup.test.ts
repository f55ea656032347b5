import { describe, expect, it } from 'vitest'
import { cautionsBySetup } from './cautions-by-setup.ts'

describe('cautionsBySetup', () => {
  it('says each caution once, and for which set-ups', () => {
    const setups = [
      { letter: 'A', cautions: ['cold', 'new cup'] },
      { letter: 'B', cautions: ['new cup', 'held off'] },
      { letter: 'D', cautions: ['held off', 'new cup'] },
    ]
    expect(cautionsBySetup(setups)).toEqual([
      { caution: 'cold', letters: ['A'] },
      { caution: 'new cup', letters: null },
      { caution: 'held off', letters: ['B', 'D'] },
    ])
  })

  it('is empty where there is nothing to heed', () => {
    expect(cautionsBySetup([{ letter: 'A', cautions: [] }])).toEqual([])
    expect(cautionsBySetup([])).toEqual([])
  })
})
