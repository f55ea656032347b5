import type { FhirProblem } from '../problem.ts'
import type { Resource } from '../resources.ts'
import { holds, PREFIXES, type Prefix, type Range, rangeOf } from './date-range.ts'
import { type Parameter, parameterOf, type ServedType } from './parameters.ts'

/** A page when nobody says how large, and the largest. */
export const USUAL_COUNT = 50
export const MOST_COUNT = 200

/** A search that was understood. */
export type Query = {
  readonly type: ServedType
  /** All must hold; of one, any of its values. */
  readonly tests: readonly ((resource: Resource) => boolean)[]
  /** The ids of the patients that it is about; null for all. */
  readonly patientIds: readonly string[] | null
  /** The stretch of time that `due` is asked for; null where nothing is said. */
  readonly due: Range | null
  readonly count: number
  /** Only what comes behind this id. */
  readonly after: string | null
  readonly include: readonly string[]
  /** Says who somebody is: must not stand in an address. */
  readonly isPersonal: boolean
}

export type QueryReading =
  | { readonly ok: true; readonly query: Query }
  | { readonly ok: false; readonly problems: readonly FhirProblem[] }

/** Names that bear on how an answer is written, not on what is in it. */
const OF_THE_ANSWER = ['_format', '_pretty']

/**
 * Reads the parameters of a search. What is not known is refused: to leave a condition out would answer another question
 * than the one that was asked.
 * @param given names and values in the order in which they came
 */
export function readQuery(
  type: ServedType,
  given: readonly (readonly [name: string, value: string])[],
  timeZone: string,
): QueryReading {
  const problems: FhirProblem[] = []
  const wrong = (where: string, what: string) =>
    void problems.push({ where: where.slice(0, 60), code: 'not-supported', what })
  const tests: ((resource: Resource) => boolean)[] = []
  const include: string[] = []
  let [patientIds, due, count, after, isPersonal]: [
    readonly string[] | null,
    Range | null,
    number,
    string | null,
    boolean,
  ] = [null, null, USUAL_COUNT, null, false]
  for (const [name, value] of given) {
    if (OF_THE_ANSWER.includes(name)) continue
    if (name === '_count') {
      if (/^\d{1,6}$/.test(value)) count = Math.min(Number(value), MOST_COUNT)
      else wrong(name, 'must be a whole number')
    } else if (name === '_after') after = value
    else if (name === '_include') {
      if (isInclude(type, value)) include.push(value.split(':')[1] ?? '')
      else wrong(name, `${type}:<a reference parameter> is done here`)
    } else {
      const parameter = parameterOf(type, name)
      if (!parameter) {
        wrong(name, 'there is no such parameter here')
        continue
      }
      const read = testOf(parameter, value, timeZone)
      if (typeof read === 'string') {
        wrong(name, read)
        continue
      }
      tests.push(read)
      isPersonal ||= 'isPersonal' in parameter && parameter.isPersonal === true
      if (name === 'patient' || name === 'subject') patientIds = both(patientIds, idsIn(value))
      if (name === 'due') due = dueOf(due, value, timeZone)
    }
  }
  if (problems.length > 0) return { ok: false, problems }
  return { ok: true, query: { type, tests, patientIds, due, count, after, include, isPersonal } }
}

function isInclude(type: ServedType, value: string): boolean {
  const [of, name = '', ...more] = value.split(':')
  return of === type && more.length === 0 && parameterOf(type, name)?.kind === 'reference'
}

const idsIn = (value: string) => value.split(',').map((each) => each.replace(/^Patient\//, ''))
const both = (one: readonly string[] | null, other: readonly string[]) =>
  one === null ? other : one.filter((id) => other.includes(id))

/** The part of time that all `due` together leave. */
function dueOf(before: Range | null, value: string, timeZone: string): Range | null {
  const asked = dated(value, timeZone)
  if (!asked || value.includes(',')) return before
  const { prefix, range } = asked
  const open = {
    eq: range,
    ge: { fromMs: range.fromMs, toMs: Infinity },
    gt: { fromMs: range.fromMs, toMs: Infinity },
    sa: { fromMs: range.toMs, toMs: Infinity },
    le: { fromMs: -Infinity, toMs: range.toMs },
    lt: { fromMs: -Infinity, toMs: range.toMs },
    eb: { fromMs: -Infinity, toMs: range.fromMs },
    ne: { fromMs: -Infinity, toMs: Infinity },
  }[prefix]
  if (!before) return open
  return { fromMs: Math.max(before.fromMs, open.fromMs), toMs: Math.min(before.toMs, open.toMs) }
}

/** A test of a resource, or why the value cannot be one. */
function testOf(
  parameter: Parameter,
  value: string,
  timeZone: string,
): ((resource: Resource) => boolean) | string {
  const values = value.split(',')
  if (values.some((each) => each.trim() === '')) return 'a value is empty'
  switch (parameter.kind) {
    case 'token': {
      const asked = values.map(tokenOf)
      return (resource) =>
        parameter
          .of(resource as never)
          .some(({ system, code }) =>
            asked.some(
              (each) =>
                (each.code === null || each.code === code) &&
                (each.system === null || each.system === (system ?? '')),
            ),
          )
    }
    case 'reference':
      return (resource) =>
        parameter
          .of(resource as never)
          .some((target) => values.some((each) => target === each || target.endsWith(`/${each}`)))
    case 'string': {
      const asked = values.map((each) => each.toLocaleLowerCase('en-US'))
      return (resource) =>
        parameter
          .of(resource as never)
          .some((text) => asked.some((each) => text.toLocaleLowerCase('en-US').startsWith(each)))
    }
    case 'date': {
      const asked = values.map((each) => dated(each, timeZone))
      if (asked.some((each) => each === null))
        return 'must be a date or a time with its zone, perhaps behind eq, ne, gt, lt, ge, le, sa or eb'
      return (resource) =>
        parameter.of(resource as never).some(({ start, end }) => {
          const from = start === undefined ? null : rangeOf(start, timeZone)
          const to = end === undefined ? null : rangeOf(end, timeZone)
          const range = { fromMs: from?.fromMs ?? -Infinity, toMs: to?.toMs ?? Infinity }
          return asked.some((each) => each !== null && holds(each.prefix, range, each.range))
        })
    }
  }
}

/** `system|code`, `|code` (of no system), `system|` (any code of it), or `code` alone (of any system). */
function tokenOf(text: string): { readonly system: string | null; readonly code: string | null } {
  const at = text.indexOf('|')
  if (at === -1) return { system: null, code: text }
  const code = text.slice(at + 1)
  return { system: text.slice(0, at), code: code === '' ? null : code }
}

function dated(text: string, timeZone: string): { readonly prefix: Prefix; readonly range: Range } | null {
  const prefix = PREFIXES.find((each) => text.startsWith(each))
  const range = rangeOf(prefix ? text.slice(2) : text, timeZone)
  return range && { prefix: prefix ?? 'eq', range }
}
