/** The text of a message, or why its bytes cannot be told. */
type DecodedMessage =
  | { readonly ok: true; readonly text: string }
  | { readonly ok: false; readonly code: '102' | '103'; readonly where: 'MSH-18'; readonly what: string }

/**
 * The text of the bytes of one message, without its frame, by the character set that the message names in MSH-18
 * (table 0211): ASCII, 8859/1, UNICODE UTF-8. Where it names none the bytes must be UTF-8, of which ASCII is a part.
 * Never throws, and never puts another character in place of one that cannot be read.
 */
export function decodeMessage(bytes: Uint8Array): DecodedMessage {
  const named = characterSet(bytes)
  switch (named) {
    case '':
    case 'UNICODE UTF-8':
      return utf8(bytes, named)
    case 'ASCII':
      return bytes.every((byte) => byte < 0x80) ? { ok: true, text: latin1(bytes) } : notIn(named)
    case '8859/1':
      return { ok: true, text: latin1(bytes) }
    default:
      return {
        ok: false,
        code: '103',
        where: 'MSH-18',
        what: `character set "${named}" is none of ASCII, 8859/1, UNICODE UTF-8`,
      }
  }
}

/** MSH-18 is written in ASCII whatever the set; of repeats the first is the one in use. */
function characterSet(bytes: Uint8Array): string {
  const end = bytes.findIndex((byte) => byte === 0x0d || byte === 0x0a)
  const header = latin1(end < 0 ? bytes : bytes.subarray(0, end))
  const repeat = header.charAt(5)
  const field = header.split(header.charAt(3))[17] ?? ''
  return (repeat === '' ? field : (field.split(repeat)[0] ?? '')).trim().toUpperCase()
}

function utf8(bytes: Uint8Array, named: string): DecodedMessage {
  try {
    return { ok: true, text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) }
  } catch {
    return notIn(named === '' ? 'UTF-8, which is expected where none is named' : named)
  }
}

function notIn(named: string): DecodedMessage {
  return {
    ok: false,
    code: '102',
    where: 'MSH-18',
    what: `the message has bytes that are not in its character set, ${named}`,
  }
}

/** Every byte as the character of its number; the platform's own "latin1" reads some of them otherwise. */
export function latin1(bytes: Uint8Array): string {
  let text = ''
  for (const byte of bytes) text += String.fromCharCode(byte)
  return text
}
