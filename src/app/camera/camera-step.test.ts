import { describe, expect, it } from 'vitest'
import { type CameraOutcome, cameraStep, NOTHING_SEEN } from './camera-step.ts'

function acts(pictures: readonly (readonly string[])[]): string[] {
  let state = NOTHING_SEEN
  return pictures.map((codes) => {
    const outcome: CameraOutcome = cameraStep(state, codes)
    state = outcome.state
    return outcome.code === undefined ? outcome.act : `${outcome.act} ${outcome.code}`
  })
}

describe('the pictures of a camera', () => {
  it('give a code that two of them in a row show alone', () => {
    expect(acts([[], ['A'], ['A']])).toEqual(['look on', 'look on', 'scanned A'])
  })
  it('give nothing for a code that changes from one to the next, or is gone in between', () => {
    expect(acts([['A'], ['B'], ['A'], [], ['A']])).toEqual(Array.from({ length: 5 }, () => 'look on'))
  })
  it('choose none of two codes in sight; the same code twice in sight is one', () => {
    expect(acts([['A'], ['A', 'B'], ['A', 'A'], ['A']])).toEqual([
      'look on',
      'several',
      'look on',
      'scanned A',
    ])
  })
})
