import fc from 'fast-check'
import { expect, it } from 'vitest'
import { nextEntry } from '../chart/chain.ts'
import { platformDigest } from './digest.ts'

it('hashes as the portable one does, whatever signs a text holds', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'binary' }), fc.integer(), (text, deviceAheadMs) => {
      const said = {
        facility: 'larkmere',
        factId: 'f',
        receivedAt: '2026-03-10T12:00:00.000Z',
        deviceAheadMs,
        text,
      }
      expect(nextEntry(null, said, platformDigest)).toEqual(nextEntry(null, said))
    }),
  )
  // NIST, the SHA-256 of "abc" (FIPS 180-4, example; from memory).
  expect(platformDigest('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad')
})
