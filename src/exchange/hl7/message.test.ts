import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { escapeText, unescapeText } from './message.ts'

const DELIMITERS = { field: '|', component: '^', repeat: '~', escape: '\\', subcomponent: '&' }
const undone = (text: string) => unescapeText(text, DELIMITERS)

describe('escapes', () => {
  it.each([
    ['one character over two escapes', 'caf\\XC3\\\\XA9\\', 'café'],
    ['one character in one escape', 'caf\\XC3A9\\', 'café'],
    ['two characters', '\\X41\\\\X42\\', 'AB'],
    ['bytes that spell nothing stay as they came', 'a\\XC3\\b\\XFF\\', 'a\\XC3\\b\\XFF\\'],
    ['a delimiter after a byte', '\\X41\\\\F\\', 'A|'],
  ])('%s', (_, raw, want) => {
    expect(undone(raw)).toBe(want)
  })
  it('keep a lone carriage return', () => {
    expect(escapeText('one\rtwo\nthree')).toBe('one\\X0D\\two\\.br\\three')
  })
  it('give any text back as it was, and leave no delimiter in it', () => {
    fc.assert(
      fc.property(
        fc.string({ unit: fc.constantFrom('a', 'X', '0', 'é', '\r', '\n', '\\', '|', '^', '&', '~') }),
        (text) => {
          expect(undone(escapeText(text))).toBe(text)
          expect(escapeText(text)).not.toMatch(/[|^&~\r\n]/)
        },
      ),
      { numRuns: 2000, seed: 20260311 },
    )
  })
})
