import type { z } from 'zod'

/** What is wrong with one field of an input: its name, what came in (absent where nothing did), and what it may be. */
export type Complaint = { readonly field: string; readonly given?: unknown; readonly what: string }

type Issue = z.core.$ZodIssue

/** What is wrong, field by field; where an input may have one of several shapes, by the shape that it comes nearest to. */
export function complaints(issues: readonly Issue[], input: unknown): readonly Complaint[] {
  return issues.flatMap((issue) => complaintsOf(issue, input))
}

function complaintsOf(issue: Issue, input: unknown): readonly Complaint[] {
  const { path } = issue
  if (issue.code === 'invalid_union' && issue.errors.length > 0) {
    const nearest = issue.errors.reduce((best, each) => (nearer(each, best) ? each : best))
    const inside = nearest.map((each) => ({ ...each, path: [...path, ...each.path] }))
    return complaints(inside, input)
  }
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) =>
      complaint(
        [...path, key],
        input,
        'not a field of this calculation; work --list --json shows those it has',
      ),
    )
  }
  return [complaint(path, input, issue.message)]
}

function complaint(path: readonly PropertyKey[], input: unknown, what: string): Complaint {
  const given = path.reduce<unknown>(
    (at, key) => (at as Record<PropertyKey, unknown> | undefined)?.[key],
    input,
  )
  const field = path.map(String).join('.') || '(whole)'
  return given === undefined || path.length === 0 ? { field, what } : { field, given: told(given), what }
}

/** JSON has no infinity: what it would turn into null is told in words. */
const told = (given: unknown) =>
  typeof given === 'number' && !Number.isFinite(given) ? String(given) : given

/** Fewer complaints; of as many, those that lie deeper: a shape that was entered comes nearer than one that was not. */
function nearer(one: readonly Issue[], other: readonly Issue[]): boolean {
  const depth = (issues: readonly Issue[]) => Math.min(...issues.map(({ path }) => path.length))
  return weight(one) < weight(other) || (weight(one) === weight(other) && depth(one) > depth(other))
}

/** How far an input is from a shape: a field each that is missing, wrong or unknown. */
function weight(issues: readonly Issue[]): number {
  return issues.reduce((sum, issue) => sum + (issue.code === 'unrecognized_keys' ? issue.keys.length : 1), 0)
}
