import { expect, it } from 'vitest'
import { once } from './once.ts'

it('works something out once, and only when asked', () => {
  let times = 0
  const value = once(() => {
    times += 1
    return times
  })
  expect(times).toBe(0)
  expect([value(), value(), times]).toEqual([1, 1, 1])
})
