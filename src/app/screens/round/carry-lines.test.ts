import { expect, it } from 'vitest'
import { carryParts } from './carry-lines.ts'

const NOTHING = {
  medicines: [],
  nebulizers: [],
  interfaces: [],
  filters: [],
  always: [],
  gases: [],
  unclear: [],
}

it('has no part for what is not needed', () => {
  expect(carryParts(NOTHING)).toEqual([])
})

it('says amounts with their units, and which cylinder lasts', () => {
  const cylinder = { id: 'E', needPsi: 930, enough: true }
  const parts = carryParts({
    ...NOTHING,
    medicines: [
      { text: 'albuterol', productId: 'p', doses: 9, amount: 22.5, unit: 'mg', volumeMl: 4.5 },
      { text: 'saline', productId: null, doses: 1, amount: null, unit: null, volumeMl: 3 },
    ],
    interfaces: [{ what: 'mask, adult', count: 2 }],
    gases: [{ gas: 'oxygen', liters: 480, cylinders: [cylinder, { ...cylinder, id: 'D', enough: false }] }],
    unclear: [{ title: 'tobramycin', why: 'no product on the list' }],
  })
  expect(
    parts.map(({ name, lines }) => [name, lines.map(({ what, amount }) => `${what}: ${amount}`)]),
  ).toEqual([
    ['Medicines', ['albuterol: 9 doses · 22.5 mg · 4.5 mL', 'saline: 1 dose · 3 mL']],
    ['Interfaces', ['mask, adult: 2 ×']],
    [
      'Gas that these runs take, where there is no wall outlet',
      ['oxygen: 480 L · a size E cylinder at 930 psi or more · more than one size D cylinder'],
    ],
    ['Ask before setting out', ['tobramycin: no product on the list']],
  ])
})
