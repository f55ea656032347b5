import { readdirSync, readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { doorFor, feedWriter } from '../../../test/support/door.ts'
import { MEDICINE_CODES } from '../../chart/documents/medicine-codes.ts'
import { Chart } from '../../chart/folds/chart.ts'
import { readFact } from '../../chart/registry.ts'
import { parseMessage } from './message.ts'
import { readHl7 } from './read-hl7.ts'

const FOLDER = new URL('./test-data/', import.meta.url)
const SAMPLES = readdirSync(FOLDER)
  .filter((name) => name.endsWith('.hl7'))
  .map((name) => readFileSync(new URL(name, FOLDER), 'utf8'))
const NOW = '2026-03-11T23:00:00.000Z'
const SEED = 20260311

const SETTINGS = {
  timeZone: 'America/New_York',
  codes: MEDICINE_CODES.defaults,
  us: { application: 'THERAPY', facility: 'MARROWBY', controlId: 'A1', now: NOW },
}

/** What goes wrong with messages on their way: characters, fields and segments lost, doubled, moved or put in. */
type Damage = readonly [kind: number, at: number, other: number, put: string]
const PUT = [
  '',
  '|',
  '^',
  '~',
  '\\',
  '&',
  '""',
  '\n',
  '\r',
  '0',
  '-1',
  '99999999999999',
  'Ü',
  '\u0000',
  '\u000b',
  '\\X',
  '\\XFF\\',
]
const damage: fc.Arbitrary<Damage> = fc.tuple(
  fc.integer({ min: 0, max: 5 }),
  fc.nat(),
  fc.nat(),
  fc.constantFrom(...PUT),
)

function damaged(text: string, [kind, at, other, put]: Damage): string {
  const lines = text.split('\r')
  const line = at % lines.length
  const place = at % (text.length + 1)
  switch (kind) {
    case 0:
      return text.slice(0, place) + put + text.slice(place + 1 + (other % 3))
    case 1:
      return text.slice(0, place)
    case 2:
      return lines.filter((_, index) => index !== line).join('\r')
    case 3:
      return lines.toSpliced(other % lines.length, 0, lines[line] ?? '').join('\r')
    default:
      return lines.with(line, changedField(lines[line] ?? '', other, put)).join('\r')
  }
}

function changedField(line: string, other: number, put: string): string {
  const fields = line.split('|')
  return fields.with(other % fields.length, put).join('|')
}

const message = fc
  .tuple(fc.constantFrom(...SAMPLES), fc.array(damage, { minLength: 1, maxLength: 4 }))
  .map(([sample, damages]) => damages.reduce(damaged, sample))

const aDoor = () =>
  doorFor(
    feedWriter(SEED, () => Date.parse(NOW)),
    'America/New_York',
  )

describe('a damaged message', () => {
  it('is read or its faults are named; it never stops the reader', () => {
    let read = 0
    let faulty = 0
    fc.assert(
      fc.property(message, (text) => {
        const { content, problems, answer, type } = readHl7(text, SETTINGS)
        if (problems.length === 0) read += 1
        else faulty += 1
        // One or the other: something was made of it, or somebody is told why not.
        if (problems.length > 0) expect(content.kind).toBe('nothing')
        else if (!type?.startsWith('ACK')) expect(content.kind).not.toBe('nothing')
        expect(problems.every(({ what, code }) => what !== '' && /^\d{3}$/.test(code))).toBe(true)
        if (answer) {
          expect(answer.code === 'AA').toBe(problems.length === 0)
          expect(parseMessage(answer.text)?.segments.map(({ name }) => name)).toEqual([
            'MSH',
            'MSA',
            ...problems.map(() => 'ERR'),
          ])
        }
      }),
      { numRuns: 5000, seed: SEED },
    )
    // The damage is neither so light nor so heavy that only one kind of outcome was tried.
    expect(Math.min(read, faulty)).toBeGreaterThan(500)
  })

  it('is kept through the door, line by line', () => {
    const door = aDoor()
    const lines = (text: string) => text.split(/[\r\n]+/).filter((line) => line.trim() !== '')
    fc.assert(
      fc.property(message, (text) => {
        const received = door.receive('hl7v2', text, new Chart())
        // A control id that comes a second time in one file gets its first answer, and is not kept again.
        if (received.some(({ answer }) => answer.replayed)) return
        const kept = received.flatMap(({ facts: [first] }) =>
          first?.kind === 'message-received' ? lines(first.body.raw) : [],
        )
        expect(kept).toEqual(lines(text))
      }),
      { numRuns: 5000, seed: SEED + 1 },
    )
  })

  it('makes only facts that can be read back, of whatever it accepts', () => {
    const door = aDoor()
    fc.assert(
      fc.property(message, (text) => {
        const facts = door.receive('hl7v2', text, new Chart()).flatMap((each) => each.facts)
        expect(facts.flatMap((fact) => (readFact(fact).ok ? [] : [fact.kind]))).toEqual([])
      }),
      { numRuns: 5000, seed: SEED + 1 },
    )
  })
})
