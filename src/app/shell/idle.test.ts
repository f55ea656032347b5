import { expect, it } from 'vitest'
import { idleness } from './idle.ts'

const at = (seconds: number, minutes = 5) => idleness(0, seconds * 1000, minutes)

it('warns in the last half minute and then locks', () => {
  expect(at(0)).toEqual({ kind: 'active' })
  expect(at(269)).toEqual({ kind: 'active' })
  expect(at(270)).toEqual({ kind: 'warn', leftS: 30 })
  expect(at(299.5)).toEqual({ kind: 'warn', leftS: 1 })
  expect(at(300)).toEqual({ kind: 'lock' })
})

it('warns for no more than half of a short time', () => {
  expect(at(14, 0.5)).toEqual({ kind: 'active' })
  expect(at(15, 0.5)).toEqual({ kind: 'warn', leftS: 15 })
})

it('never locks for zero minutes', () => {
  expect(at(86_400, 0)).toEqual({ kind: 'active' })
})
