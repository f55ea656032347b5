import { scrypt } from '@noble/hashes/scrypt.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import { describe, expect, it } from 'vitest'
import { makeVerifier, verifies, waitAfterWrongMs } from './verifier.ts'

const saltOf = (byte: number) => (length: number) => new Uint8Array(length).fill(byte)

describe('checking a PIN without the server', () => {
  it('stands on a scrypt that gives the published vector', () => {
    // RFC 7914, section 12, third vector.
    const hash = scrypt(utf8ToBytes('pleaseletmein'), utf8ToBytes('SodiumChloride'), {
      N: 16384,
      r: 8,
      p: 1,
      dkLen: 64,
    })
    expect(bytesToHex(hash).slice(0, 32)).toBe('7023bdcb3afd7348461c06cd81fd38eb')
  })

  it('knows the right word from a wrong one, and keeps neither', async () => {
    const made = await makeVerifier('402817', saltOf(7))
    expect(await verifies('402817', made)).toBe(true)
    expect(await verifies('402818', made)).toBe(false)
    expect(JSON.stringify(made)).not.toContain('402817')
  })

  it('gives another hash for another salt', async () => {
    const [one, other] = [await makeVerifier('402817', saltOf(1)), await makeVerifier('402817', saltOf(2))]
    expect(one.hash).not.toBe(other.hash)
  })

  it('lets wait longer after each wrong try', () => {
    expect([0, 2, 3, 4, 5, 9, 30].map(waitAfterWrongMs)).toEqual([
      0, 0, 5000, 10_000, 20_000, 300_000, 300_000,
    ])
  })
})
