import { describe, expect, it } from 'vitest'
import { decodeMessage } from './decode-message.ts'
import { MllpDecoder } from './mllp.ts'

const HEADER = (set: string) => `MSH|^~\\&|A|B|C|D|20260310||ADT^A08|1|P|2.5.1||||||${set}\rPID|1||`
const ascii = (text: string, ...rest: number[]) =>
  Uint8Array.from([...[...text].map((char) => char.charCodeAt(0)), ...rest])

describe('the character set that a message names (MSH-18, table 0211)', () => {
  it.each([
    ['UNICODE UTF-8', [0xc3, 0xa9], 'é'],
    ['', [0xc3, 0xa9], 'é'],
    ['8859/1', [0xe9], 'é'],
    ['8859/1~UNICODE UTF-8', [0xc3, 0xa9], 'Ã©'],
    ['8859/1', [0x80], '\u0080'],
    ['ASCII', [0x65], 'e'],
  ])('"%s"', (set, bytes, want) => {
    expect(decodeMessage(ascii(HEADER(set), ...bytes))).toEqual({ ok: true, text: HEADER(set) + want })
  })
  it.each([
    ['UNICODE UTF-8', '102'],
    ['', '102'],
    ['ASCII', '102'],
    ['8859/15', '103'],
  ])('"%s" is refused with a byte that is none of it', (set, code) => {
    expect(decodeMessage(ascii(HEADER(set), 0xe9))).toMatchObject({ ok: false, code, where: 'MSH-18' })
  })
  it('is read with the delimiters of the message', () => {
    const other = HEADER('8859/1').replaceAll('|', '#')
    expect(decodeMessage(ascii(other, 0xe9))).toEqual({ ok: true, text: `${other}é` })
  })
})

describe('frames', () => {
  const told = (chunks: readonly string[], limit?: number) => {
    const decoder = new MllpDecoder(limit)
    const frames = [...chunks.flatMap((chunk) => decoder.take(ascii(chunk))), ...decoder.finish()]
    return frames.map((frame) =>
      frame.kind === 'message'
        ? new TextDecoder().decode(frame.bytes)
        : [frame.what, frame.bytes, new TextDecoder().decode(frame.content)],
    )
  }
  it('end with both end bytes, not with the first alone', () => {
    expect(told(['\u000ba\u001cb\u001c', '\rnext'])).toEqual([
      'a\u001cb',
      ['bytes outside any frame', 4, 'next'],
    ])
  })
  it('that the end cuts short are told, and what was in them', () => {
    expect(told(['\u000bone\u001c\r\n\u000btwo\u001c'])).toEqual([
      'one',
      ['a frame was cut short by the end', 4, '\u000btwo\u001c'],
    ])
    expect(told(['\u000bone\u000btwo\u001c\r'])).toEqual([
      ['a frame was cut short by the next', 3, '\u000bone'],
      'two',
    ])
  })
  it('of the limit are taken, and larger ones told', () => {
    expect(told(['\u000babcd\u001c\r\u000babcde\u001c\r'], 4)).toEqual([
      'abcd',
      ['a frame was larger than 4 bytes', 5, '\u000babcd'],
    ])
  })
  it('are begun anew after the end', () => {
    const decoder = new MllpDecoder()
    decoder.take(ascii('\u000bone'))
    decoder.finish()
    expect([...decoder.take(ascii('\r\n')), ...decoder.finish()]).toEqual([])
  })
})
