import type { z } from 'zod'
import { told, toldText } from './told.ts'

/**
 * What is wrong with one field of an input: its name, what came in (absent where nothing did), what it may be, and, of
 * a number, from where to where.
 */
export type Complaint = {
  readonly field: string
  readonly given?: unknown
  readonly what: string
  readonly allowed?: string
}

type Issue = z.core.$ZodIssue
export type Path = readonly PropertyKey[]

type Asked = {
  readonly input: unknown
  /** What a number at this place may be, where the calculation says so. */
  readonly rangeAt: (path: Path) => string | undefined
}

/** What is wrong, field by field; where an input may have one of several shapes, by the shape that it comes nearest to. */
export function complaints(issues: readonly Issue[], asked: Asked): readonly Complaint[] {
  return issues.flatMap((issue) => complaintsOf(issue, asked))
}

function complaintsOf(issue: Issue, asked: Asked): readonly Complaint[] {
  const { path } = issue
  if (issue.code === 'invalid_union' && issue.errors.length > 0) {
    const nearest = issue.errors.reduce((best, each) => (nearer(each, best) ? each : best))
    const inside = nearest.map((each) => ({ ...each, path: [...path, ...each.path] }))
    return complaints(inside, asked)
  }
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) =>
      complaint(
        [...path, key],
        asked,
        'not a field of this calculation; work --list --json shows those it has',
      ),
    )
  }
  const given = valueAt(asked.input, path)
  const allowed =
    issue.code === 'invalid_type' && issue.expected === 'number' ? asked.rangeAt(path) : undefined
  return [{ ...complaint(path, asked, inWords(issue, given)), ...(allowed !== undefined && { allowed }) }]
}

function complaint(path: Path, { input }: Asked, what: string): Complaint {
  const given = valueAt(input, path)
  const field = toldText(path.map(String).join('.')) || '(whole)'
  return given === undefined || path.length === 0 ? { field, what } : { field, given: told(given), what }
}

function valueAt(input: unknown, path: Path): unknown {
  return path.reduce<unknown>((at, key) => (at as Record<PropertyKey, unknown> | undefined)?.[key], input)
}

/** Kinds of value as they are called here. */
const KINDS: Readonly<Record<string, string>> = {
  number: 'a finite number',
  string: 'text',
  boolean: 'true or false',
  array: 'a list',
  object: 'an object with fields',
  record: 'an object with fields',
}

function inWords(issue: Issue, given: unknown): string {
  if (issue.code === 'invalid_type') {
    const wanted = KINDS[issue.expected] ?? issue.expected
    return given === undefined ? `missing; ${wanted} is needed` : `${wanted} is needed, not ${kindOf(given)}`
  }
  if (issue.code === 'invalid_value') return oneOf(issue.values.map(String), given)
  if (issue.code === 'invalid_union' && 'options' in issue && Array.isArray(issue.options))
    return oneOf(issue.options.map(String), given)
  if (issue.code === 'invalid_format') return FORMATS[issue.format] ?? issue.message
  return issue.message
}

/** Texts of a fixed form, with an example. */
const FORMATS: Readonly<Record<string, string>> = {
  datetime: 'an instant with its offset, such as 2026-03-10T12:00:00.000Z',
  date: 'a day, such as 2026-03-10',
}

function oneOf(allowed: readonly string[], given: unknown): string {
  return `${given === undefined ? 'missing; ' : ''}one of: ${allowed.join(', ')}`
}

function kindOf(given: unknown): string {
  if (given === null) return 'null'
  if (Array.isArray(given)) return 'a list'
  if (typeof given === 'number') return String(given)
  return { string: 'text', boolean: 'true or false', object: 'an object' }[typeof given as string] ?? 'this'
}

/** Fewer complaints; of as many, those that lie deeper: a shape that was entered comes nearer than one that was not. */
function nearer(one: readonly Issue[], other: readonly Issue[]): boolean {
  const depth = (issues: readonly Issue[]) => Math.min(...issues.map(({ path }) => path.length))
  return weight(one) < weight(other) || (weight(one) === weight(other) && depth(one) > depth(other))
}

/** How far an input is from a shape: a field each that is missing, wrong or unknown. */
function weight(issues: readonly Issue[]): number {
  return issues.reduce((sum, issue) => sum + (issue.code === 'unrecognized_keys' ? issue.keys.length : 1), 0)
}
