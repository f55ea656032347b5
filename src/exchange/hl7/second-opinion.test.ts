import { readdirSync, readFileSync } from 'node:fs'
import { Message as OtherMessage } from 'node-hl7-client'
import { describe, expect, it } from 'vitest'
import { type Hl7Message, parseMessage, SegmentReader, writeMessage } from './message.ts'

const FOLDER = new URL('./test-data/', import.meta.url)
const text = (name: string) => readFileSync(new URL(name, FOLDER), 'utf8')

/** Every sample that has a header at all. */
const SAMPLES = readdirSync(FOLDER)
  .filter((name) => name.endsWith('.hl7'))
  .flatMap((name): (readonly [string, Hl7Message])[] => {
    const message = parseMessage(text(name))
    return message ? [[name, message]] : []
  })

/** Components of every field of the segments that stand once in a message, as [path, ours]; headers start at field 3. */
function componentsOf({ segments, delimiters }: Hl7Message): [string, string][] {
  const once = segments.filter(({ name }) => segments.filter((each) => each.name === name).length === 1)
  return once.flatMap((segment) => {
    const reader = new SegmentReader(segment, delimiters)
    const from = segment.name === 'MSH' ? 3 : 1
    return segment.fields.slice(from).flatMap((_, index): [string, string][] => {
      const field = index + from
      const [first = '', ...others] = reader.repeats(field)
      if (first === '' || others.length > 0) return []
      return first.split(delimiters.component).flatMap((part, at): [string, string][] => {
        const isOne = !part.includes(delimiters.subcomponent)
        return part === '' || !isOne
          ? []
          : [[`${segment.name}.${field}.${at + 1}`, reader.text(field, at + 1) ?? '']]
      })
    })
  })
}

/** The other reader leaves \.br\ as it stands (it is formatting, not a delimiter); ours makes it a new line. */
const alike = (theirs: string) => theirs.replaceAll('\\.br\\', '\n')

describe('node-hl7-client, a general-purpose HL7 library, as second opinion', () => {
  it('has the 23 samples that begin with a header', () => {
    expect(SAMPLES).toHaveLength(23)
  })
  it.each(SAMPLES)('%s: every component is read alike', (name, message) => {
    const other = new OtherMessage({ text: text(name) })
    const ours = componentsOf(message)
    expect(ours.length).toBeGreaterThan(5)
    const theirs = ours.map(([path]): [string, string] => [path, alike(String(other.get(path)))])
    expect(ours).toEqual(theirs)
  })
  it.each(SAMPLES)('%s: comes back byte for byte, and as the other writes it', (name, message) => {
    expect(writeMessage(message)).toBe(text(name))
    // The other leaves out the last carriage return.
    expect(`${new OtherMessage({ text: text(name) }).toString()}\r`).toBe(text(name))
  })
})
