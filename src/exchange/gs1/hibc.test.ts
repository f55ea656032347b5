import bwip from 'bwip-js/node'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { readHibc } from './hibc.ts'

/** The code that a general-purpose barcode writer makes of primary data, with the check character it works out. */
function written(data: string): string {
  const [code] = bwip.raw({ bcid: 'hibccode128', text: data }) as unknown as { txt: [string][] }[]
  const printed = (code?.txt ?? []).map(([character]) => character).join('')
  // In print a blank as check character is shown as an underline, which HIBC has no character for.
  return printed.replace(/^\*|\*$/g, '').replace('_', ' ')
}

describe('HIBC primary codes', () => {
  it('reads the worked example of the check character (hibcc.org)', () => {
    expect(readHibc('+A123BJC5D6E71G')).toEqual({
      ok: true,
      labeler: 'A123',
      product: 'BJC5D6E7',
      unitOfMeasure: 1,
      check: 'G',
    })
  })
  it('reads what another program writes (bwip-js)', () => {
    fc.assert(
      fc.property(fc.stringMatching(/^[A-Z][A-Z0-9]{3}[A-Z0-9]{1,13}[0-9]$/), (data) => {
        expect(readHibc(written(data))).toMatchObject({
          ok: true,
          labeler: data.slice(0, 4),
          product: data.slice(4, -1),
          unitOfMeasure: Number(data.at(-1)),
        })
      }),
      { numRuns: 100, seed: 43 },
    )
  })
  it.each([
    ['+A123BJC5D6E71H', 'CHECK_CHARACTER'],
    ['+B123BJC5D6E71G', 'CHECK_CHARACTER'],
    ['A123BJC5D6E71G', 'NOT_HIBC'],
    ['+1123BJC5D6E71G', 'NOT_HIBC'],
    ['+A123BJC5D6E7AG', 'NOT_HIBC'],
    ['', 'NOT_HIBC'],
    ['+$$3270331L7A042G', 'SECONDARY'],
    ['+A123BJC5D6E71/$L7A042G', 'SECONDARY'],
  ])('refuses %s: %s', (raw, error) => {
    expect(readHibc(raw)).toMatchObject({ ok: false, error })
  })
})
