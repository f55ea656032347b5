import { expect, it } from 'vitest'
import { linesOf, timesOf } from './times-text.ts'

it('reads times of day in the ways in which people write them', () => {
  expect(timesOf('0700, 13:00 19.00;9:30')).toEqual(['07:00', '13:00', '19:00', '09:30'])
})

it('keeps what is no time, so that it is named and not lost', () => {
  expect(timesOf('07:00, 25:00, noon')).toEqual(['07:00', '25:00', 'noon'])
  expect(timesOf('  ')).toEqual([])
})

it('takes one line for one entry', () => {
  expect(linesOf(' stable \n\nnot a first dose, call bell near')).toEqual([
    'stable',
    'not a first dose, call bell near',
  ])
})
