import type { Instant } from '../../../chart/fact.ts'
import { unitSpelled } from '../../../clinical/medicine/index.ts'
import { SYSTEM } from '../codes.ts'
import type { FhirIssue, FhirProblem } from '../problem.ts'
import type { CodeableConcept, Extension, Quantity } from '../resources.ts'

/** Notes every problem of one entry instead of stopping at the first, and what of it was kept without being used. */
export class EntryReader {
  readonly problems: FhirProblem[] = []
  /** Kept and not used, and somebody should look at it. */
  readonly warnings: string[] = []
  /** Kept and not used, as is to be expected. */
  readonly notes: string[] = []
  readonly #type: string
  constructor(type: string) {
    this.#type = type
  }

  wrong(code: FhirIssue, element: string, what: string): null {
    this.problems.push({ code, where: [this.#type, element].filter(Boolean).join('.'), what })
    return null
  }

  warn(what: string): void {
    this.warnings.push(what)
  }

  note(what: string): void {
    this.notes.push(what)
  }

  /** A modifier may turn a meaning into its opposite, so what has one that is not known is not used. */
  modifiers(element: string, extensions: readonly Extension[] | undefined): void {
    for (const { url } of extensions ?? [])
      this.wrong('not-supported', element, `the modifier extension ${url.slice(0, 80)} is not read here`)
  }

  /** The instant of a time that has one; a date alone has none. */
  instant(element: string, text: string | undefined): string | null {
    if (text === undefined) return null
    if (!text.includes('T'))
      return this.wrong('not-supported', element, `"${text}" says a day and no time of day`)
    const ms = Date.parse(text.replace(/:60(\.\d+)?(?=Z|[+-])/, ':59$1'))
    return Number.isNaN(ms)
      ? this.wrong('value', element, `"${text}" is not a time`)
      : (new Date(ms).toISOString() satisfies (typeof Instant)['_output'])
  }

  /** An amount with the unit as it is written here. Code and word of the unit must mean the same. */
  amount(
    element: string,
    quantity: Quantity | undefined,
  ): { readonly value: number; readonly unit: string } | null {
    if (quantity?.value === undefined) return this.wrong('required', element, 'the amount is missing')
    const { value, unit, code, system, comparator } = quantity
    if (comparator !== undefined)
      return this.wrong('not-supported', element, `an amount of ${comparator} ${value} is not one amount`)
    const named = unit ?? code
    if (named === undefined) return this.wrong('required', element, 'the unit is missing')
    const byCode = system === SYSTEM.ucum && code !== undefined ? code : null
    if (byCode === null || unit === undefined || byCode === unit) return { value, unit: named }
    const [one, other] = [unitSpelled(byCode === 'ug' ? 'mcg' : byCode), unitSpelled(unit)]
    if (one !== null && other !== null && one !== other)
      return this.wrong('value', element, `the unit is "${unit}" in words and "${byCode}" as a code`)
    return { value, unit: other === null && one !== null ? byCode : unit }
  }
}

/** What a concept is called: its own text, or the first word that stands beside a code, or the code. */
export function textOf(concept: CodeableConcept | undefined): string | null {
  if (!concept) return null
  const { text, coding = [] } = concept
  return text ?? coding.find(({ display }) => display !== undefined)?.display ?? coding[0]?.code ?? null
}

export function codeIn(concept: CodeableConcept | undefined, system: string): string | null {
  return concept?.coding?.find((each) => each.system === system)?.code ?? null
}

/** The extension of that name. */
export function extensionOf(
  extensions: readonly Extension[] | undefined,
  url: string,
): Extension | undefined {
  return extensions?.find((each) => each.url === url)
}
