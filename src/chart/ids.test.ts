import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { seededIds } from '../../test/support/facts.ts'
import { idOfNumber, uuidv7 } from './ids.ts'

describe('uuidv7 (RFC 9562, section 5.7)', () => {
  it('gives the example of the RFC, appendix A.6, from its time and random bits', () => {
    const random = [0, 0, 0, 0, 0, 0, 0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]
    const id = uuidv7({ nowMs: () => 0x017f22e279b0, randomBytes: () => Uint8Array.from(random) })
    expect(id).toBe('017f22e2-79b0-7cc3-98c4-dc0c0c07398f')
  })
  it('sorts by time', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 2 ** 47 }),
        fc.integer({ min: 1, max: 2 ** 30 }),
        fc.nat(),
        (ms, later, seed) => {
          const ids = [ms, ms + later].map((now) => uuidv7(seededIds(seed, () => now)))
          expect([...ids].sort()).toEqual(ids)
        },
      ),
    )
  })
})

describe('ids of what the hospital numbers', () => {
  it('are the same for the same number and do not show it', () => {
    const id = idOfNumber('patient', 'larkmere', 'MB004417')
    expect(idOfNumber('patient', 'larkmere', 'MB004417')).toBe(id)
    expect(id).not.toContain('4417')
  })
  it('differ by facility and by what is numbered', () => {
    const ids = new Set([
      idOfNumber('patient', 'larkmere', '1'),
      idOfNumber('patient', 'other', '1'),
      idOfNumber('order', 'larkmere', '1'),
    ])
    expect(ids.size).toBe(3)
  })
})
