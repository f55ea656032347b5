import type { AnyFact } from '../../chart/registry.ts'
import { parseMessage } from './message.ts'
import type { Hl7Problem } from './problem.ts'
import { MessageReader } from './reader.ts'

type Place = readonly [segment: string, field: number]

/** Where a message says what stands in a fact, by the beginning of the path in its body. */
const PLACES: readonly (readonly [path: RegExp, ...Place])[] = [
  [/^(patch\.)?(mrn|identifiers)/, 'PID', 3],
  [/^patch\.(family|given|middle)/, 'PID', 5],
  [/^patch\.dob/, 'PID', 7],
  [/^patch\.place/, 'PV1', 3],
  [/^patch\.attending/, 'PV1', 7],
  [/^patch\.visitNumber/, 'PV1', 19],
  [/^patch\.admittedAt/, 'PV1', 44],
  [/^patch\.dischargedAt/, 'PV1', 45],
  [/^patch\.allergies/, 'AL1', 3],
  [/^patch\.conditions/, 'DG1', 3],
  [/^order\.placer/, 'ORC', 2],
  [/^order\.filler/, 'ORC', 3],
  [/^order\.group/, 'ORC', 4],
  [/^order\.prescriber/, 'ORC', 12],
  [/^(effectiveAt|order\.startAt)/, 'ORC', 15],
  [/^reason/, 'ORC', 16],
  [/^order\.(frequency|prn|endAt)/, 'TQ1', 3],
  [/^order\.route/, 'RXR', 1],
  [/^order\.device/, 'RXR', 3],
  [/^order\.method/, 'RXR', 4],
  [/^administrations/, 'RXA', 5],
  [/^observations/, 'OBX', 5],
  [/^happenedAt/, 'EVN', 2],
]

/** Observations of a patient by the code in OBX-3. */
const CODES: readonly (readonly [path: string, codes: readonly string[]])[] = [
  ['patch.weightKg', ['29463-7']],
  ['patch.heightCm', ['8302-2']],
  ['patch.isolation', ['ISO']],
  ['patch.oxygen.flowLPerMin', ['3151-8']],
  ['patch.oxygen.fio2Percent', ['3150-0']],
  ['patch.target', ['SPO2TARGET']],
  ['patch.airway', ['AIRWAY']],
]

/**
 * A problem with a fact made of a message (102) at the best place of the message: the field that says it where that can
 * be told, otherwise the order or patient that it is about.
 */
export function placeInMessage(text: string, fact: AnyFact, path: string, what: string): Hl7Problem {
  const message = parseMessage(text)
  const reader = message && new MessageReader(message, 'UTC')
  const problem = (segment: string, sequence: number, field: number | null): Hl7Problem => ({
    code: '102',
    segment,
    sequence,
    field,
    what,
  })
  const codes = CODES.find(([start]) => path.startsWith(start))?.[1]
  const obx = codes && reader?.all('OBX').findLast(({ at }) => codes.includes(at.text(3) ?? ''))
  if (obx) return problem('OBX', obx.sequence, 5)
  const [, name, field] = PLACES.find(([start]) => start.test(path)) ?? []
  const placer = 'order' in fact.body ? fact.body.order.placer : null
  const order = placer === null ? undefined : reader?.all('ORC').find(({ at }) => at.text(2) === placer)
  const isThere = name !== undefined && reader?.first(name)
  if (!isThere) return order ? problem('ORC', order.sequence, null) : problem('PID', 1, null)
  if (name === 'ORC') return problem(name, order?.sequence ?? 1, field ?? null)
  // An item of a list stands in the segment of its number.
  const item = Number(/^\w+\.(?:\w+\.)?(\d+)\./.exec(path)?.[1] ?? 0)
  return problem(name, LISTED.includes(name) ? item + 1 : 1, field ?? null)
}

const LISTED = ['AL1', 'DG1', 'RXA', 'OBX']
