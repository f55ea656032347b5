/**
 * HL7 v2 messages as text: segments, fields, repeats, components and sub-components by the delimiters that the message
 * itself declares (HL7 v2.5.1, chapter 2). Escapes are undone once, at the leaf, after all splitting. Nothing is
 * thrown away: a field is kept as it came, and what is not asked for is not touched.
 */
export type Delimiters = {
  readonly field: string
  readonly component: string
  readonly repeat: string
  readonly escape: string
  readonly subcomponent: string
}

/** A segment: its name and its raw fields, where field n of the standard is `fields[n]`. */
export type Segment = { readonly name: string; readonly fields: readonly string[] }

export type Hl7Message = { readonly delimiters: Delimiters; readonly segments: readonly Segment[] }

/**
 * Splits one message. Null when it does not begin with a header that declares its delimiters: then nothing in it can
 * be told apart.
 */
export function parseMessage(text: string): Hl7Message | null {
  const lines = text.split(/\r\n|\r|\n/).filter((line) => line !== '')
  const header = lines[0] ?? ''
  if (!header.startsWith('MSH') || header.length < 8) return null
  const field = header.charAt(3)
  const declared = header.slice(4).split(field)[0] ?? ''
  if (declared.length < 2) return null
  const delimiters = {
    field,
    component: declared.charAt(0),
    repeat: declared.charAt(1),
    escape: declared.charAt(2),
    subcomponent: declared.charAt(3),
  }
  return { delimiters, segments: lines.map((line) => parseSegment(line, field)) }
}

function parseSegment(line: string, field: string): Segment {
  const parts = line.split(field)
  const name = parts[0] ?? ''
  // The delimiter itself is field 1 of the header.
  return name === 'MSH' ? { name, fields: ['MSH', field, ...parts.slice(1)] } : { name, fields: parts }
}

/** The message as text again, segments ended by a carriage return. */
export function writeMessage({ delimiters, segments }: Hl7Message): string {
  return segments
    .map(({ name, fields }) => {
      const written = name === 'MSH' ? ['MSH', ...fields.slice(2)] : fields
      return `${written.join(delimiters.field)}\r`
    })
    .join('')
}

/** Reads the parts of one segment of one message. Positions count from 1, as the standard does. */
export class SegmentReader {
  readonly segment: Segment
  readonly #delimiters: Delimiters
  constructor(segment: Segment, delimiters: Delimiters) {
    this.segment = segment
    this.#delimiters = delimiters
  }

  /** The field as it came; empty when it is not there. */
  raw(field: number): string {
    return this.segment.fields[field] ?? ''
  }

  /** The field was explicitly emptied by its sender: two double quotes. */
  isDeleted(field: number): boolean {
    return this.raw(field) === '""'
  }

  /** A component of the first repeat was explicitly emptied, by itself or with its whole field. */
  isPartDeleted(field: number, component: number): boolean {
    const [first = ''] = this.raw(field).split(this.#delimiters.repeat)
    return this.isDeleted(field) || first.split(this.#delimiters.component)[component - 1] === '""'
  }

  /** The repeats of a field, each to be read further with `part`. */
  repeats(field: number): string[] {
    const raw = this.raw(field)
    return raw === '' || raw === '""' ? [] : raw.split(this.#delimiters.repeat)
  }

  /** A component of the first repeat, escapes undone; null when empty. */
  text(field: number, component = 1, subcomponent = 1): string | null {
    return this.part(this.repeats(field)[0] ?? '', component, subcomponent)
  }

  /** A component of a repeat, escapes undone; null when empty. */
  part(repeat: string, component = 1, subcomponent = 1): string | null {
    const whole = repeat.split(this.#delimiters.component)[component - 1] ?? ''
    const parts = this.#delimiters.subcomponent === '' ? [whole] : whole.split(this.#delimiters.subcomponent)
    const found = parts[subcomponent - 1] ?? ''
    return found === '' || found === '""' ? null : unescapeText(found, this.#delimiters)
  }

  /** A whole field as one text, for free text that may hold what looks like components. */
  whole(field: number): string | null {
    const raw = this.raw(field)
    return raw === '' || raw === '""' ? null : unescapeText(raw, this.#delimiters)
  }
}

/** Undoes escapes (chapter 2.7): delimiters, hexadecimal bytes, line breaks. Unknown ones are left as they came. */
export function unescapeText(text: string, delimiters: Delimiters): string {
  const mark = delimiters.escape
  if (mark === '' || !text.includes(mark)) return text
  const safe = mark.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')
  // Hexadecimal escapes side by side are read as one run of bytes: a character may be spread over several.
  const escaped = new RegExp(`((?:${safe}X(?:[0-9A-Fa-f]{2})+${safe})+)|${safe}([^${safe}]*)${safe}`, 'g')
  return text.replace(escaped, (whole, bytes: string | undefined, code: string | undefined) =>
    bytes === undefined ? (unescaped(code ?? '', delimiters) ?? whole) : (bytesAsText(bytes, mark) ?? whole),
  )
}

/** The text that escaped bytes spell in UTF-8; null when they spell none, so that they stay as they came. */
function bytesAsText(run: string, mark: string): string | null {
  const digits = run.replaceAll(`${mark}X`, '').replaceAll(mark, '')
  const bytes = (digits.match(/../g) ?? []).map((pair) => Number.parseInt(pair, 16))
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(Uint8Array.from(bytes))
  } catch {
    return null
  }
}

function unescaped(code: string, delimiters: Delimiters): string | null {
  switch (code) {
    case 'F':
      return delimiters.field
    case 'S':
      return delimiters.component
    case 'T':
      return delimiters.subcomponent
    case 'R':
      return delimiters.repeat
    case 'E':
      return delimiters.escape
    case '.br':
      return '\n'
  }
  return null
}

const ESCAPES: Readonly<Record<string, string>> = {
  '\\': '\\E\\',
  '|': '\\F\\',
  '^': '\\S\\',
  '&': '\\T\\',
  '~': '\\R\\',
  '\n': '\\.br\\',
  '\r': '\\X0D\\',
}

/** Text made safe to stand in a field written with the standard delimiters. */
export function escapeText(text: string): string {
  return text.replace(/[\\|^&~\n\r]/g, (char) => ESCAPES[char] ?? char)
}
