/** One thing that a new edition says otherwise. `null`: it was not there before, or is not there any more. */
export type Difference = { readonly where: string; readonly from: string | null; readonly to: string | null }

/** Fields by which the entries of a list are known, so that one put in between does not change all after it. */
const NAMED_BY = ['id', 'productId', 'code', 'key', 'name', 'category', 'medicineId'] as const

/** What differs between two documents, place by place, in the order of the first. Empty when they say the same. */
export function differences(before: unknown, after: unknown, where = ''): Difference[] {
  if (Array.isArray(before) && Array.isArray(after)) {
    const named = nameOf([...before, ...after])
    if (named !== null) return entries(byName(before, named), byName(after, named), where)
  } else if (isRecord(before) && isRecord(after)) {
    return entries(before, after, where)
  }
  const [from, to] = [said(before), said(after)]
  return from === to ? [] : [{ where, from, to }]
}

function entries(
  before: Readonly<Record<string, unknown>>,
  after: Readonly<Record<string, unknown>>,
  where: string,
): Difference[] {
  const keys = [...new Set([...Object.keys(before), ...Object.keys(after)])]
  return keys.flatMap((key) => differences(before[key], after[key], where === '' ? key : `${where}.${key}`))
}

/** The field by which all entries are known, each by another value; null when there is none. */
function nameOf(all: readonly unknown[]): string | null {
  if (all.length === 0 || !all.every(isRecord)) return null
  return NAMED_BY.find((field) => all.every((entry) => typeof entry[field] === 'string')) ?? null
}

function byName(list: readonly Readonly<Record<string, unknown>>[], field: string): Record<string, unknown> {
  const named: Record<string, unknown> = {}
  for (const entry of list) {
    const name = String(entry[field])
    let free = name
    for (let count = 2; Object.hasOwn(named, free); count += 1) free = `${name} (${count})`
    named[free] = entry
  }
  return named
}

function said(value: unknown): string | null {
  if (value === undefined) return null
  if (value === null) return 'not set'
  if (typeof value === 'string') return value
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  if (Array.isArray(value) && value.every((entry) => typeof entry !== 'object')) {
    return value.length === 0 ? 'none' : value.join(', ')
  }
  return JSON.stringify(value)
}

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}
