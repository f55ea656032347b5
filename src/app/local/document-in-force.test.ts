import { describe, expect, it } from 'vitest'
import { CUPS } from '../../chart/documents/cups.ts'
import type { AdoptedDocument } from '../../chart/folds/documents.ts'
import { documentInForce } from './document-in-force.ts'

const adoption = (content: unknown): AdoptedDocument => ({ content }) as AdoptedDocument
const [first] = CUPS.defaults.cups
const fewer = { ...CUPS.defaults, cups: [first] }

describe('a document as it is in force on a tablet', () => {
  it('is what the program brings until one is adopted', () => {
    expect(documentInForce(CUPS, [])).toBe(CUPS.defaults)
  })

  it('is the last one adopted that can be read', () => {
    const twice = { ...CUPS.defaults, cups: [first, first] }
    expect(documentInForce(CUPS, [adoption(CUPS.defaults), adoption(fewer)])).toEqual(fewer)
    expect(documentInForce(CUPS, [adoption(fewer), adoption({ cups: 'none' }), adoption(twice)])).toEqual(
      fewer,
    )
    expect(documentInForce(CUPS, [adoption({ cups: 'none' })])).toBe(CUPS.defaults)
  })

  it('is read once for the same adoptions, and again when one came', () => {
    const adopted = [adoption(fewer)]
    // Reading makes the content anew, so that the same object was not read again.
    expect(documentInForce(CUPS, adopted)).toBe(documentInForce(CUPS, adopted))
    expect(documentInForce(CUPS, [...adopted])).not.toBe(documentInForce(CUPS, adopted))
    expect(documentInForce(CUPS, [...adopted, adoption(CUPS.defaults)])).toEqual(CUPS.defaults)
  })
})
