import { describe, expect, it } from 'vitest'
import { roundUp, valueAt } from './curve-values.ts'

const moment = (minutes: number, inhaledMg: number | null) => ({
  minutes,
  cel: 20,
  concentrationRatio: 1,
  leavesMgPerMin: 0.1,
  inhaledMg,
})

describe('valueAt', () => {
  const curve = [moment(0, 0), moment(2, 1), moment(6, 2)]
  const inhaled = (minutes: number) => valueAt(curve, minutes, (at) => at.inhaledMg)

  it('lies on the straight line between two moments', () => {
    expect([inhaled(0), inhaled(1), inhaled(2), inhaled(4), inhaled(6)]).toEqual([0, 0.5, 1, 1.5, 2])
  })
  it('is not there outside the run, nor where nothing is known', () => {
    expect([inhaled(-1), inhaled(6.1)]).toEqual([null, null])
    expect(valueAt([moment(0, null), moment(2, null)], 1, (at) => at.inhaledMg)).toBeNull()
    expect(valueAt([], 1, (at) => at.inhaledMg)).toBeNull()
  })
})

describe('roundUp', () => {
  it.each([
    [0.13, 0.2],
    [0.2, 0.2],
    [2.2, 2.5],
    [14.7, 20],
    [51, 100],
    [100, 100],
    [0, 1],
  ])('%s ends an axis at %s', (value, end) => {
    expect(roundUp(value)).toBe(end)
  })
})
