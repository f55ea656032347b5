import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import bwip from 'bwip-js/node'
import fc from 'fast-check'
import { beforeAll, describe, expect, it } from 'vitest'
import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader'
import { readPreparationLabel, writePreparationLabel } from './preparation-label.ts'
import { readMedicineScan, readWristband } from './scan.ts'

const TODAY = '2026-11-25'
const LABEL = {
  labelCode: '7F3A91BC05',
  patient: 'LK203105',
  order: 'LK-0017^ORDERS',
  useBy: '2026-11-25T17:40:00.000Z',
}
const RAW = ']d291MW1.7F3A91BC05\u001d92LK203105\u001d93LK-0017%5EORDERS\u001d942611251740'

beforeAll(() => {
  const wasm = readFileSync(createRequire(import.meta.url).resolve('zxing-wasm/reader/zxing_reader.wasm'))
  prepareZXingModule({ overrides: { wasmBinary: new Uint8Array(wasm).buffer } })
})

/** The picture of a code by a general-purpose writer (bwip-js), read by a general-purpose reader (zxing). */
async function throughThePicture(text: string): Promise<string> {
  const picture = await bwip.toBuffer({
    bcid: 'gs1datamatrix',
    text,
    scale: 3,
    padding: 6,
    backgroundcolor: 'ffffff',
  })
  const [read] = await readBarcodes(new Uint8Array(picture), { formats: ['DataMatrix'], textMode: 'Plain' })
  return `${read?.symbologyIdentifier}${read?.text}`
}

describe('the label of a prepared cup', () => {
  it('says patient, order, preparation and use-by in identifiers that GS1 leaves to the company', () => {
    expect(writePreparationLabel(LABEL)).toBe(
      '(91)MW1.7F3A91BC05(92)LK203105(93)LK-0017%5EORDERS(94)2611251740',
    )
  })
  it('is scanned back from the picture, whatever stands in the numbers', async () => {
    expect(await throughThePicture(writePreparationLabel(LABEL))).toBe(RAW)
    await fc.assert(
      fc.asyncProperty(
        fc.string({ minLength: 1, maxLength: 12, unit: 'grapheme-ascii' }),
        fc.constantFrom('A~B', 'Ä 7', '#1|2', '%5E', '(01)9'),
        async (patient, order) => {
          const label = { ...LABEL, patient, order }
          const raw = await throughThePicture(writePreparationLabel(label))
          expect(readPreparationLabel(raw, TODAY, null)).toEqual(label)
        },
      ),
      { numRuns: 40, seed: 20261125 },
    )
  })
  it('is read with what a scanner sends in place of the separator', () => {
    expect(readPreparationLabel(RAW.replaceAll('\u001d', '~'), TODAY, '~')).toEqual(LABEL)
  })
  it.each([
    ['a medicine', ']d20100312345678906', /not the label/],
    ['a wristband', 'LK203105', /not the label/],
    ['internal data of somebody else', ']d291OTHER\u001d92A\u001d93B\u001d942611251740', /not the label/],
    ['a label without its order', ']d291MW1.7F\u001d92A\u001d942611251740', /not the label/],
    ['a separator lost', RAW.replaceAll('\u001d', ''), /not the label/],
    ['a time that is none', RAW.replace('2611251740', '2611252540'), /damaged/],
    ['a day that is none', RAW.replace('2611251740', '2611311740'), /damaged/],
    ['a number cut in its percent sign', RAW.replace('%5E', '%5'), /damaged/],
  ])('refuses %s', (_name, raw, why) => {
    const read = readPreparationLabel(raw, TODAY, null)
    expect('refused' in read ? read.refused : read).toMatch(why)
  })
  it('never passes for a wristband or for a container', () => {
    for (const raw of [RAW, RAW.slice(3)]) {
      expect(readWristband(raw, TODAY, null)).toEqual({
        refused: 'That is the label of a prepared cup, not a wristband.',
      })
      expect(readMedicineScan(raw, TODAY, null)).toMatchObject({
        ok: false,
        what: expect.stringContaining('prepared cup'),
      })
    }
  })
  it('is not made when a number does not fit', () => {
    expect(() => writePreparationLabel({ ...LABEL, patient: 'x'.repeat(91) })).toThrow(/at most 90/)
  })
})
