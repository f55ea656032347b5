import { describe, expect, it } from 'vitest'
import { USUAL_BENCH } from './bench-state.ts'
import { BENCH_CHOICE_KEY, leaveChoice, takeChoice } from './send-choice.ts'

function drawer() {
  const kept = new Map<string, string>()
  return {
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, value: string) => void kept.set(key, value),
    removeItem: (key: string) => void kept.delete(key),
  }
}
const [setup] = USUAL_BENCH.setups
if (!setup) throw new Error('the usual bench is empty')

describe('a set-up sent to a visit', () => {
  it('is taken up once, by that visit alone', () => {
    const storage = drawer()
    leaveChoice(storage, 'visit-1', setup)
    expect(takeChoice(storage, 'visit-2')).toBeNull()
    expect(takeChoice(storage, 'visit-1')).toEqual({
      ...setup,
      visitId: 'visit-1',
      distanceCm: null,
      mask: null,
    })
    expect(takeChoice(storage, 'visit-1')).toBeNull()
  })

  it('says how far off only for a mask held off', () => {
    const storage = drawer()
    leaveChoice(storage, 'visit-1', { ...setup, interface: 'mask held off', distanceCm: 1.5, mask: 'shaped' })
    expect(takeChoice(storage, 'visit-1')).toMatchObject({ distanceCm: 1.5, mask: 'shaped' })
  })

  it('is nothing when it cannot be read', () => {
    const storage = drawer()
    for (const text of ['{', '{"visitId":"visit-1"}', 'null']) {
      storage.setItem(BENCH_CHOICE_KEY, text)
      expect(takeChoice(storage, 'visit-1')).toBeNull()
    }
  })
})
