import type { Calculation } from '../clinical/calculation.ts'
import { BadInput } from '../clinical/worked.ts'
import { complaints, type Path } from './complaints.ts'
import { nameAsGiven } from './given-names.ts'
import { toldInWords, toldText } from './told.ts'

export type Answer = { readonly error: object } | object

/** One result; with `working`, the steps, sources and cautions beside it. Never throws for bad input. */
export function answer(calculation: Calculation, given: unknown, withWorking: boolean): Answer {
  const read = calculation.input.safeParse(given)
  if (!read.success) {
    const rangeAt = (path: Path) => rangeOf(calculation, given, path)
    return { error: { kind: 'input', fields: complaints(read.error.issues, { input: given, rangeAt }) } }
  }
  try {
    const { result, working } = calculation.run(read.data)
    return withWorking ? { result, working } : { result }
  } catch (error) {
    if (!(error instanceof BadInput)) throw error
    return { error: refusal(calculation, error, given) }
  }
}

function refusal(calculation: Calculation, error: BadInput, given: unknown): object {
  const { name: kind, allowed } = error
  const field = toldText(nameAsGiven(calculation, error, given))
  const why = 'why' in error && typeof error.why === 'string' ? { why: error.why } : {}
  const cameIn = toldInWords(error.given)
  const message = [`${field} is ${cameIn}; allowed: ${allowed}`, ...Object.values(why)].join('. ')
  return { kind, field, given: cameIn, allowed, ...why, message }
}

/** No calculation takes it; so the refusal says what is taken. */
const FAR_OUTSIDE = -1e300

/**
 * What a number may be where something else stands: what the calculation says of one that it cannot take, the rest
 * being as it came. Undefined where it asks after another field first.
 */
function rangeOf(calculation: Calculation, given: unknown, path: Path): string | undefined {
  const read = calculation.input.safeParse(withAt(given, path, FAR_OUTSIDE))
  if (!read.success) return undefined
  try {
    calculation.run(read.data)
    return undefined
  } catch (error) {
    if (!(error instanceof BadInput)) return undefined
    const field = nameAsGiven(calculation, error, withAt(given, path, FAR_OUTSIDE))
    const names = [path, path.slice(0, -1)].map((each) => each.join('.')) // a list may be refused as a whole
    return names.includes(field.replace(/\[(\d+)\]/g, '.$1')) ? error.allowed : undefined
  }
}

function withAt(value: unknown, path: Path, put: unknown): unknown {
  const [key, ...deeper] = path
  if (key === undefined) return put
  if (Array.isArray(value)) return value.map((each, at) => (at === key ? withAt(each, deeper, put) : each))
  if (value === null || typeof value !== 'object') return value
  const inside = (value as Record<PropertyKey, unknown>)[key]
  return { ...value, [key]: withAt(inside, deeper, put) }
}

/** What went wrong in this program over one input, in its place, so that the other answers are not lost. */
export function fault(error: unknown): Answer {
  const why = error instanceof Error ? error.message : String(error)
  const message = `this input could not be worked out, by a fault of this program (${toldText(why)}); nothing was computed for it; please report it with the input`
  return { error: { kind: 'fault', message } }
}
