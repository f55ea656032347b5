import { readFileSync } from 'node:fs'
import { Chart } from '../../src/chart/folds/chart.ts'
import { readFact } from '../../src/chart/registry.ts'
import { checkResource } from '../../src/exchange/fhir/check-resource.ts'
import type { Received } from '../../src/exchange/receive.ts'
import { doorFor, feedWriter } from './door.ts'
import { damaged, generator, type Next, pick } from './mutants.ts'

const NOW = '2026-03-11T23:00:00.000Z'
/** So many bundles come to one hospital before the next begins anew. */
const ONE_HOSPITAL = 40

/** What became of damaged bundles: taken whole, in part, not at all, or one that came before. */
export type BundleCount = { whole: number; part: number; refused: number; repeated: number; facts: number }

type Entry = { readonly resource: { readonly resourceType: string } }
type Sample = { readonly entry: readonly Entry[] } & Record<string, unknown>

/** One bundle for each resource that becomes something, with its patient, so that damage often meets what matters. */
function samples(): string[] {
  const whole: Sample = JSON.parse(
    readFileSync('src/exchange/fhir/test-data/nebulized-treatment.bundle.json', 'utf8'),
  )
  const [patient] = whole.entry
  const read = ['Encounter', 'MedicationRequest', 'MedicationAdministration', 'Observation']
  return whole.entry
    .filter(({ resource }) => read.includes(resource.resourceType))
    .flatMap((entry) =>
      ['transaction', 'batch'].map((type) =>
        JSON.stringify({ ...whole, id: undefined, type, entry: [patient, entry] }),
      ),
    )
}

/**
 * Damages bundles, the same way for the same seed: in their bytes, or in their structure (a value changed, taken away, of
 * another type, moved). Checks of each that it is kept to the byte, answered with a resource that is right by the rules
 * of FHIR, that what it became can be read back, and that it is answered alike when it comes again.
 * @throws Error that names the first for which it does not hold
 */
export function runBundleMutants(bundles: number, seed: number): BundleCount {
  const count: BundleCount = { whole: 0, part: 0, refused: 0, repeated: 0, facts: 0 }
  const next = generator(seed)
  const all = samples()
  for (let at = 0; at < bundles; at += ONE_HOSPITAL) {
    const door = doorFor(feedWriter(next(2 ** 31), () => Date.parse(NOW)))
    const chart = new Chart()
    for (let turn = 0; turn < Math.min(ONE_HOSPITAL, bundles - at); turn += 1) {
      const sample = pick(all, next)
      const sent = sentBundle(
        next(3) === 0 ? damaged(Buffer.from(sample), next) : Buffer.from(spoiled(sample, next)),
      )
      const received = door.receiveBundle(sent, chart)
      check(sent, received, count)
      chart.add(received.facts)
      const again = door.receiveBundle(sent, chart)
      if (again.facts.length > 0 || again.answer.text !== received.answer.text)
        throw new Error(`taken twice: ${told(sent)}`)
    }
  }
  return count
}

type Sent = { readonly text: string } | { readonly base64: string; readonly whyNot: string }

function sentBundle(bytes: Uint8Array): Sent {
  try {
    return { text: new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes) }
  } catch {
    return { base64: Buffer.from(bytes).toString('base64'), whyNot: 'it is not text in UTF-8' }
  }
}

function check(sent: Sent, { facts, answer }: Received, count: BundleCount): void {
  if (answer.text === null) throw new Error(`not answered: ${told(sent)}`)
  const resource = JSON.parse(answer.text)
  const wrong = checkResource(resource)
  if (wrong.length > 0) throw new Error(`answered wrongly (${JSON.stringify(wrong[0])}): ${told(sent)}`)
  if (answer.replayed) count.repeated += 1
  else if (!isKept(sent, facts[0])) throw new Error(`not kept: ${told(sent)}`)
  if (facts.some((fact) => !readFact(fact).ok)) throw new Error(`cannot be read back: ${told(sent)}`)
  count.facts += facts.length
  if (resource.resourceType === 'OperationOutcome') {
    const isTold = resource.issue.some(({ severity }: { severity: string }) => severity === 'error')
    if (!isTold) throw new Error(`refused without a word: ${told(sent)}`)
    if (answer.made.length > 0) throw new Error(`refused, and yet something was made: ${told(sent)}`)
    count.refused += 1
  } else if (answer.code === 'AA') count.whole += 1
  else count.part += 1
}

function isKept(sent: Sent, first: Received['facts'][number] | undefined): boolean {
  if (first?.kind !== 'message-received') return false
  const { raw, encoding } = first.body
  return 'text' in sent
    ? encoding === 'text' && raw === sent.text
    : encoding === 'base64' && raw === sent.base64
}

function told(sent: Sent): string {
  return JSON.stringify('text' in sent ? sent.text : sent.base64)
}

/** Values that a reader may stumble over, in the place of any other. */
const ODD: readonly unknown[] = [
  null,
  '',
  ' ',
  0,
  -1,
  2.5,
  1e308,
  true,
  [],
  {},
  [null],
  '2026-02-30',
  '2026-03-10T07:06:00',
  '2026-03-10T07:06:60.5Z',
  'PRN',
  'Q4M',
  'h',
  '__proto__',
  '\ud800',
  '\u0000',
  'x'.repeat(500),
  { reference: 'Patient/none' },
  { text: 'x' },
  [{ text: 'x' }],
  { value: 1, unit: 'mg', system: 'http://unitsofmeasure.org', code: 'g' },
]

type Holder = Record<string, unknown> | unknown[]

/**
 * One to three places of a bundle changed, taken away, doubled, renamed, or given the value of another place. What is put
 * in is always a copy: a value that stood at two places, or in two bundles, would be changed at both and could come to
 * hold itself.
 */
function spoiled(sample: string, next: Next): string {
  const bundle = JSON.parse(sample)
  for (let turn = next(3); turn >= 0; turn -= 1) {
    const places = placesIn(bundle)
    const [holder, key] = pick(places, next)
    const [otherHolder, otherKey] = pick(places, next)
    const kind = next(6)
    if (kind === 0) remove(holder, key)
    else if (kind === 1) put(holder, key, structuredClone(pick(ODD, next)))
    else if (kind === 2) put(holder, key, structuredClone(get(otherHolder, otherKey)))
    else if (kind === 3) put(holder, key, [structuredClone(get(holder, key))])
    else if (kind === 4)
      put(holder, `${key}${pick(['x', '_', 's', 'Quantity'], next)}`, structuredClone(get(holder, key)))
    else if (Array.isArray(holder)) holder.push(structuredClone(get(holder, key)))
    else put(holder, key, String(get(holder, key)))
  }
  return JSON.stringify(bundle)
}

function placesIn(value: unknown, found: (readonly [Holder, string])[] = []): (readonly [Holder, string])[] {
  if (typeof value !== 'object' || value === null) return found
  for (const key of Object.keys(value)) {
    found.push([value as Holder, key])
    placesIn((value as Record<string, unknown>)[key], found)
  }
  return found
}

const get = (holder: Holder, key: string) => (holder as Record<string, unknown>)[key]
const put = (holder: Holder, key: string, value: unknown) => {
  ;(holder as Record<string, unknown>)[key] = value
}
function remove(holder: Holder, key: string): void {
  if (Array.isArray(holder)) holder.splice(Number(key), 1)
  else delete holder[key]
}
