import { describe, expect, it } from 'vitest'
import { readFrequencyCode } from './frequency-code.ts'

/** HL7 v2 table 0335 (repeat pattern) and the FHIR R4 timing abbreviations. */
describe('readFrequencyCode', () => {
  it.each([
    ['QD', { timesPerDay: 1, standardTimes: true }],
    ['BID', { timesPerDay: 2, standardTimes: true }],
    ['TID', { timesPerDay: 3, standardTimes: true }],
    ['QID', { timesPerDay: 4, standardTimes: true }],
    ['6ID', { timesPerDay: 6, standardTimes: true }],
    ['QHS', { timesPerDay: 1, standardTimes: true }],
    ['QOD', { everyMinutes: 2880, standardTimes: true }],
    ['Q6H', { everyMinutes: 360, standardTimes: true }],
    ['q4h', { everyMinutes: 240, standardTimes: true }],
    ['Q4M', { everyMinutes: 4, standardTimes: false }], // minutes, not months
    ['Q20MIN', { everyMinutes: 20, standardTimes: false }],
    ['Q3D', { everyMinutes: 4320, standardTimes: true }],
    ['Q1W', { everyMinutes: 10_080, standardTimes: true }],
    ['ONCE', { once: true, standardTimes: false }],
    ['STAT', { stat: true, standardTimes: false }],
    ['C', { continuous: true, standardTimes: false }],
    ['PRN', { standardTimes: false }],
    ['PRNQ2H', { everyMinutes: 120, standardTimes: false }],
    ['Q2H PRN', { everyMinutes: 120, standardTimes: false }],
  ])('%s', (code, expected) => {
    expect(readFrequencyCode(code)).toEqual({ ...expected, code })
  })
  it.each(['', 'XYZ', 'Q', 'QH', 'Q0H', '0ID', '25ID', 'Q4', 'Q4S', 'Q1L', 'Q9999H', 'PRNXYZ', '4XD'])(
    'does not guess at %j',
    (code) => {
      expect(readFrequencyCode(code)).toBeNull()
    },
  )
})
