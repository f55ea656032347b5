import { describe, expect, it } from 'vitest'
import { readBench } from './bench-link.ts'
import { USUAL_BENCH, withSetup } from './bench-state.ts'
import { sentFrom } from './send-choice.ts'

describe('a set-up sent to a visit', () => {
  it('carries itself, its letter, and the bench that it was tried on', () => {
    const sent = sentFrom(USUAL_BENCH, 1)
    expect(sent).toMatchObject({ cupId: 'mask-jet', gas: 'oxygen', flowLPerMin: 8, letter: 'B' })
    expect(readBench(sent?.bench ?? '', ['tee-jet', 'mask-jet'])).toMatchObject({ bench: USUAL_BENCH })
  })
  it('says how far off only for a mask held off', () => {
    const off = { interface: 'mask held off', distanceCm: 1.5, mask: 'shaped' } as const
    expect(sentFrom(withSetup(USUAL_BENCH, 0, off), 0)).toMatchObject({ distanceCm: 1.5, mask: 'shaped' })
    expect(sentFrom(USUAL_BENCH, 0)).toMatchObject({ distanceCm: null, mask: null })
  })
  it('is nothing where no set-up stands', () => {
    expect(sentFrom(USUAL_BENCH, 3)).toBeNull()
  })
})
