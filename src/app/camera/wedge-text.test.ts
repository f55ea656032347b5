import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import bwip from 'bwip-js/node'
import { beforeAll, describe, expect, it } from 'vitest'
import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader'
import { readMedicineScan, readWristband } from '../../exchange/gs1/scan.ts'
import { READER_OPTIONS } from './reader-options.ts'
import { wedgeText } from './wedge-text.ts'

beforeAll(() => {
  const wasm = readFileSync(createRequire(import.meta.url).resolve('zxing-wasm/reader/zxing_reader.wasm'))
  prepareZXingModule({ overrides: { wasmBinary: new Uint8Array(wasm).buffer } })
})

/** What is read out of the picture that a general-purpose barcode writer makes (bwip-js). */
async function seen(bcid: string, text: string): Promise<string[]> {
  const picture = await bwip.toBuffer({ bcid, text, scale: 3, padding: 10, backgroundcolor: 'ffffff' })
  return (await readBarcodes(new Uint8Array(picture), READER_OPTIONS)).map(wedgeText)
}

describe('codes read from pictures go the way of a scanner that types', () => {
  it.each(['gs1datamatrix', 'gs1qrcode', 'gs1-128'])(
    'a medicine in %s with product, lot and expiry',
    async (bcid) => {
      const [text = '', ...others] = await seen(bcid, '(01)00312345678906(10)L7A042(17)270331')
      expect(others).toEqual([])
      expect(readMedicineScan(text, '2026-03-10', null)).toEqual({
        ok: true,
        gtin: '00312345678906',
        lot: 'L7A042',
        expiry: '2027-03-31',
        doubtful: false,
      })
    },
  )
  it.each([
    ['ean13', '6291041500213', '06291041500213'],
    ['databarlimited', '(01)00312345678906', '00312345678906'],
  ])('a medicine in %s with the product alone', async (bcid, text, gtin) => {
    const [read = ''] = await seen(bcid, text)
    expect(readMedicineScan(read, '2026-03-10', null)).toMatchObject({ ok: true, gtin, expiry: null })
  })
  it.each(['code128', 'qrcode', 'pdf417', 'azteccode', 'datamatrix', 'code39'])(
    'a wristband in %s with the hospital’s own number',
    async (bcid) => {
      const [text = ''] = await seen(bcid, 'MB004417')
      expect(readWristband(text, '2026-03-10', null)).toEqual({ value: 'MB004417' })
    },
  )
  it.each(['gs1-128', 'gs1datamatrix'])('a wristband in %s with the patient’s GSRN', async (bcid) => {
    const [text = ''] = await seen(bcid, '(8018)095011014560000112')
    expect(readWristband(text, '2026-03-10', null)).toEqual({ value: '095011014560000112' })
  })
})
