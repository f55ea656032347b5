import { describe, expect, it } from 'vitest'
import {
  administeredText,
  type OutsideAdministration,
  type OutsideObservation,
  observedText,
} from './outside-words.ts'

const observed = (change: Partial<OutsideObservation>): OutsideObservation => ({
  code: '8867-4',
  text: 'Heart rate',
  when: null,
  value: 84,
  said: [],
  unit: '/min',
  flag: null,
  status: 'F',
  at: null,
  ...change,
})

const administered = (change: Partial<OutsideAdministration>): OutsideAdministration => ({
  status: 'CP',
  startedAt: null,
  endedAt: null,
  medicine: 'albuterol',
  code: 'ALB',
  amount: 2.5,
  unit: 'mg',
  lot: null,
  expiry: null,
  reason: null,
  by: null,
  ...change,
})

describe('what another system observed', () => {
  it('keeps its figure and unit', () => {
    expect(observedText(observed({}))).toBe('84 /min')
  })

  it('is not obtained without a value, and never a zero', () => {
    expect(observedText(observed({ value: null, status: 'X' }))).toBe('not obtained')
    expect(observedText(observed({ value: null, said: ['', ' '] }))).toBe('not obtained')
    expect(observedText(observed({ value: null, status: 'I' }))).toBe('not obtained · result pending')
  })

  it('keeps a zero that was said', () => {
    expect(observedText(observed({ value: 0, unit: 'L/min' }))).toBe('0 L/min')
  })

  it('joins what was said in words, and names flags and standings', () => {
    expect(observedText(observed({ value: null, said: ['wheeze', 'crackles'], unit: null }))).toBe(
      'wheeze, crackles',
    )
    expect(observedText(observed({ flag: 'HH', status: 'P' }))).toBe('84 /min · very high · preliminary')
    expect(observedText(observed({ flag: 'ZZ' }))).toBe('84 /min · marked ZZ')
  })
})

describe('what another system gave', () => {
  it('says the amount and what became of it', () => {
    expect(administeredText(administered({}))).toBe('2.5 mg · given')
    expect(administeredText(administered({ status: 'RE', reason: 'asleep' }))).toBe(
      '2.5 mg · refused · asleep',
    )
  })

  it('names what was not said', () => {
    expect(administeredText(administered({ amount: null, unit: null, status: null }))).toBe(
      'amount not said · not said whether given',
    )
    expect(administeredText(administered({ unit: null, status: 'Q' }))).toBe('2.5 (unit not said) · status Q')
  })
})
