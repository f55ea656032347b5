import { type Hl7Message, SegmentReader } from './message.ts'
import type { ErrorCode, Hl7Problem } from './problem.ts'
import { readDate, readTime } from './time.ts'

/** Reads fields of one message, noting every problem instead of stopping at the first. */
export class MessageReader {
  readonly problems: Hl7Problem[] = []
  /** What was read in one of two ways that it may be meant: used, and told for a person to ask about. */
  readonly doubts: Hl7Problem[] = []
  readonly message: Hl7Message
  readonly timeZone: string
  constructor(message: Hl7Message, timeZone: string) {
    this.message = message
    this.timeZone = timeZone
  }

  all(name: string): FieldReader[] {
    return this.message.segments
      .filter((segment) => segment.name === name)
      .map(
        (segment, index) =>
          new FieldReader(this, new SegmentReader(segment, this.message.delimiters), index + 1),
      )
  }

  first(name: string): FieldReader | null {
    return this.all(name)[0] ?? null
  }

  /** The segments in order, each with its reader. */
  inOrder(): FieldReader[] {
    const seen = new Map<string, number>()
    return this.message.segments.map((segment) => {
      const sequence = (seen.get(segment.name) ?? 0) + 1
      seen.set(segment.name, sequence)
      return new FieldReader(this, new SegmentReader(segment, this.message.delimiters), sequence)
    })
  }

  problem(
    code: ErrorCode,
    segment: string | null,
    sequence: number,
    field: number | null,
    what: string,
  ): void {
    this.problems.push({ code, segment, sequence, field, what })
  }

  /** Notes a doubt at a field, once. */
  doubt(segment: string, sequence: number, field: number, what: string): void {
    const told = this.doubts.some(
      (each) => each.segment === segment && each.sequence === sequence && each.what === what,
    )
    if (!told) this.doubts.push({ code: '102', segment, sequence, field, what })
  }
}

/** One segment, with the checks that note a problem at the field. */
export class FieldReader {
  readonly of: MessageReader
  readonly at: SegmentReader
  readonly sequence: number
  constructor(of: MessageReader, at: SegmentReader, sequence: number) {
    this.of = of
    this.at = at
    this.sequence = sequence
  }

  get name(): string {
    return this.at.segment.name
  }

  wrong(code: ErrorCode, field: number, what: string): null {
    this.of.problem(code, this.name, this.sequence, field, what)
    return null
  }

  /** Text that must be there. */
  required(field: number, what: string, component = 1): string | null {
    return this.at.text(field, component) ?? this.wrong('101', field, `${what} is missing`)
  }

  /** A number; null when empty, a problem when it is none. */
  number(field: number, what: string): number | null {
    const text = this.at.text(field)
    if (text === null) return null
    const value = /^[+-]?\d+(\.\d+)?$/.test(text) ? Number(text) : Number.NaN
    return Number.isFinite(value)
      ? value
      : this.wrong('102', field, `${what} is "${text}", which is not a number`)
  }

  /** An instant; null when empty, a problem when it is none. */
  time(field: number, what: string): string | null {
    const text = this.at.text(field)
    return text === null ? null : this.timeIn(field, text, what)
  }

  /** The instant that a text of this field says; a problem when it says none. */
  timeIn(field: number, text: string, what = 'a time'): string | null {
    const read = readTime(text, this.of.timeZone)
    if (read === null) return this.wrong('102', field, `${what} is "${text}", which is not a time`)
    if (read.doubt !== null)
      this.of.doubt(
        this.name,
        this.sequence,
        field,
        `${what} is "${text}", ${read.doubt}; no offset is told, and ${read.at} is taken: ask the sender which moment is meant`,
      )
    return read.at
  }

  date(field: number, what: string): string | null {
    const text = this.at.text(field)
    if (text === null) return null
    return readDate(text) ?? this.wrong('102', field, `${what} is "${text}", which is not a date`)
  }
}
