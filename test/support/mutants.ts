import { readdirSync, readFileSync } from 'node:fs'
import { Chart } from '../../src/chart/folds/chart.ts'
import { readFact } from '../../src/chart/registry.ts'
import { hasCheckDigit } from '../../src/exchange/gs1/check-digit.ts'
import { readMedicineScan } from '../../src/exchange/gs1/scan.ts'
import { decodeMessage, latin1 } from '../../src/exchange/hl7/decode-message.ts'
import { parseMessage } from '../../src/exchange/hl7/message.ts'
import { type Frame, MllpDecoder } from '../../src/exchange/hl7/mllp.ts'
import type { Received } from '../../src/exchange/receive.ts'
import { doorFor, feedWriter } from './door.ts'

const NOW = '2026-03-11T23:00:00.000Z'
/** So many messages come to one hospital before the next begins anew. */
const ONE_HOSPITAL = 100
const MESSAGES = 'src/exchange/hl7/test-data'
const SCANS = 'src/exchange/gs1/test-data/gs1-checks.json'

/** What became of damaged input: none may be missing from these. */
export type MutantCount = {
  answered: number
  unanswerable: number
  repeated: number
  read: number
  refused: number
}

/**
 * Damages messages and codes, the same way for the same seed, cuts the messages' stream anywhere, and checks of each
 * message that it is kept to the byte, answered where a header can be told, and answered alike when it comes again; and
 * of each code that it is read or refused in words.
 * @throws Error that names the first for which it does not hold
 */
export function runMutants(messages: number, codes: number, seed: number): MutantCount {
  const count: MutantCount = { answered: 0, unanswerable: 0, repeated: 0, read: 0, refused: 0 }
  const next = generator(seed)
  for (let at = 0; at < messages; at += ONE_HOSPITAL)
    oneHospital(Math.min(ONE_HOSPITAL, messages - at), next, count)
  const samples = [...readFileSync(SCANS, 'utf8').matchAll(/"raw": "((?:[^"\\]|\\.)+)"/g)].map(([, raw]) =>
    new TextEncoder().encode(JSON.parse(`"${raw}"`)),
  )
  if (samples.length < 12) throw new Error(`only ${samples.length} codes to damage`)
  for (let at = 0; at < codes; at += 1) oneCode(latin1(damaged(pick(samples, next), next)), next, count)
  return count
}

export type Next = (below: number) => number

export function generator(seed: number): Next {
  let state = seed >>> 0
  return (below) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0
    return Math.floor((state / 2 ** 32) * below)
  }
}

export function pick<T>(all: readonly T[], next: Next): T {
  return all[next(all.length)] as T
}

/** Bytes that mean something to a reader, beside any byte at all. */
const SPECIAL = [...'|^~\\&\r\n"0-9']
  .map((sign) => sign.charCodeAt(0))
  .concat([0, 0x0b, 0x1c, 0x1d, 0xc3, 0xff])

/** One to four bytes changed, put in, taken out, or a stretch of them doubled, moved or lost. */
export function damaged(sample: Uint8Array, next: Next): Uint8Array {
  const bytes = [...sample]
  for (let turn = next(4); turn >= 0; turn -= 1) {
    const at = next(bytes.length + 1)
    const put = next(2) === 0 ? pick(SPECIAL, next) : next(256)
    const stretch = next(5) === 0 ? next(bytes.length + 1) : next(20)
    const kind = next(5)
    if (kind === 0) bytes.splice(at, 1, put)
    else if (kind === 1) bytes.splice(at, 0, put)
    else if (kind === 2) bytes.splice(at, stretch)
    else if (kind === 3) bytes.splice(at, 0, ...bytes.slice(at, at + stretch))
    else bytes.splice(next(bytes.length + 1), 0, ...bytes.splice(at, stretch))
  }
  return Uint8Array.from(bytes)
}

const SAMPLES = readdirSync(MESSAGES)
  .filter((name) => name.endsWith('.hl7'))
  .map((name) => new Uint8Array(readFileSync(`${MESSAGES}/${name}`)))

function oneHospital(messages: number, next: Next, count: MutantCount): void {
  const door = doorFor(feedWriter(next(2 ** 31), () => Date.parse(NOW)))
  const chart = new Chart()
  const decoder = new MllpDecoder(1500)
  const take = (frames: readonly Frame[]) => {
    for (const frame of frames) {
      const received = door.receiveFrame(frame, chart)
      check(frame, received, count)
      chart.add(received.facts)
      const again = door.receiveFrame(frame, chart)
      if (again.facts.length > 0 || again.answer.text !== received.answer.text)
        throw new Error(`taken twice: ${received.answer.key}`)
    }
  }
  for (let at = 0; at < messages; at += 1) {
    const stream = Uint8Array.from([0x0b, ...damaged(pick(SAMPLES, next), next), 0x1c, 0x0d])
    const cut = next(stream.length)
    take([...decoder.take(stream.subarray(0, cut)), ...decoder.take(stream.subarray(cut))])
  }
  take(decoder.finish())
}

function check(frame: Frame, { facts, answer }: Received, count: MutantCount): void {
  const bytes = frame.kind === 'message' ? frame.bytes : frame.content
  const told = JSON.stringify(latin1(bytes).slice(0, 400))
  if (answer.replayed) count.repeated += 1
  else if (!isKept(frame, facts[0])) throw new Error(`not kept: ${told}`)
  if (facts.some((fact) => !readFact(fact).ok)) throw new Error(`cannot be read back: ${told}`)
  const waits = frame.kind === 'message' || frame.isTooLarge
  const header = parseMessage(latin1(frame.kind === 'message' ? bytes : bytes.subarray(1)))
  // Delimiters that are letters leave no segment of that name: then there is no header to answer to.
  const hasHeader = header?.segments[0]?.name === 'MSH'
  const isAnswer = /^ACK\b/.test(header?.segments[0]?.fields[9] ?? '')
  if (answer.text !== null) count.answered += 1
  else if (waits && hasHeader && !isAnswer) throw new Error(`not answered: ${told}`)
  else count.unanswerable += 1
}

/** Kept to the byte: the text that the bytes spell, or the bytes themselves. */
function isKept(frame: Frame, first: Received['facts'][number] | undefined): boolean {
  if (first?.kind !== 'message-received') return false
  const { raw, encoding } = first.body
  const bytes = frame.kind === 'message' ? frame.bytes : frame.content
  if (encoding === 'base64') {
    const kept = latin1(bytes)
    return atob(raw) === kept || (frame.kind === 'noise' && frame.isTooLarge && atob(raw) === kept.slice(1))
  }
  const decoded = decodeMessage(bytes)
  return decoded.ok && decoded.text === raw
}

function oneCode(text: string, next: Next, count: MutantCount): void {
  const scan = readMedicineScan(text, '2026-03-11', pick([null, '^', '~'], next))
  if (scan.ok && !hasCheckDigit(scan.gtin))
    throw new Error(`a wrong check digit was taken: ${JSON.stringify(text)}`)
  if (!scan.ok && scan.what.trim() === '') throw new Error(`refused without a word: ${JSON.stringify(text)}`)
  if (scan.ok) count.read += 1
  else count.refused += 1
}
