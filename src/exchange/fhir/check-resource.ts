import { isPrimitive, whyNotPrimitive } from './primitives.ts'
import type { FhirIssue, FhirProblem } from './problem.ts'
import { RULES } from './rules.ts'
import { CHECKED_RESOURCES, type Element, type ElementType, shapeOf } from './shapes.ts'

type Given = Readonly<Record<string, unknown>>

/** More than this of one resource is not told: whoever sent it has enough to look at. */
const MOST_PROBLEMS = 50

/**
 * What is wrong with a resource: elements that are unknown, missing, doubled or of another type, codes of no binding
 * list, dates that no calendar has, references to what they may not point at, and rules that do not hold. Empty when
 * nothing is. A resource of a type that is not known here is told as such.
 */
export function checkResource(given: unknown, where?: string): FhirProblem[] {
  const check = new Check()
  check.resource(given, where)
  return check.problems.slice(0, MOST_PROBLEMS)
}

class Check {
  readonly problems: FhirProblem[] = []

  resource(given: unknown, at?: string): undefined {
    if (!isObject(given)) return this.#tell('structure', at ?? '', 'a resource must be an object')
    const { resourceType } = given
    if (typeof resourceType !== 'string')
      return this.#tell('structure', at ?? '', 'a resource must say its resourceType')
    if (!CHECKED_RESOURCES.includes(resourceType))
      return this.#tell(
        'not-supported',
        at ?? 'resource',
        `resources of type ${told(resourceType)} are not read here`,
      )
    const where = at ?? resourceType
    const { id } = given
    if (id !== undefined && whyNotPrimitive('id', id) !== null)
      this.#tell('value', `${where}.id`, 'must be 1 to 64 letters, digits, dots and hyphens')
    const { resourceType: _, ...elements } = given
    this.#object(resourceType, elements, where)
  }

  #object(type: string, given: Given, where: string): undefined {
    const shape = shapeOf(type)
    if (!shape) return this.#tell('not-supported', where, `values of type ${type} are not read here`)
    const names = Object.keys(given)
    if (names.length === 0) return this.#tell('structure', where, 'is empty')
    const before = this.problems.length
    for (const name of names) {
      if (!shape.byJsonName.has(name.replace(/^_/, '')))
        this.#tell('structure', `${where}.${told(name)}`, 'there is no such element')
    }
    for (const element of shape.elements) this.#element(element, given, where)
    // Rules are asked of what is well formed; of the rest enough has been said.
    if (this.problems.length > before) return
    for (const { key, what, holds, issue } of RULES[type] ?? [])
      if (!holds(given)) this.#tell(issue ?? 'invariant', where, `${what} (${key})`)
  }

  #element(element: Element, given: Given, where: string): undefined {
    const said = [...element.types].filter(
      ([name]) => given[name] !== undefined || given[`_${name}`] !== undefined,
    )
    const [first, second] = said
    if (second) {
      const names = said.map(([name]) => name).join(' and ')
      this.#tell(
        'structure',
        `${where}.${element.name}`,
        `${names} stand side by side; only one may be given`,
      )
    }
    if (!first && element.least > 0) this.#tell('required', `${where}.${element.name}`, 'is missing')
    for (const [name, type] of said)
      this.#values(element, type, given[name], given[`_${name}`], `${where}.${name}`)
  }

  #values(element: Element, type: ElementType, value: unknown, beside: unknown, where: string): undefined {
    if (!element.isList) return this.#value(type, value, beside, where)
    const [values, besides] = [value ?? [], beside ?? []]
    if (!Array.isArray(values) || !Array.isArray(besides))
      return this.#tell('structure', where, 'must be a list')
    const length = Math.max(values.length, besides.length)
    if (length === 0) return this.#tell('structure', where, 'is an empty list')
    for (let at = 0; at < length; at += 1)
      this.#value(type, values[at] ?? undefined, besides[at] ?? undefined, `${where}[${at}]`)
  }

  #value(type: ElementType, value: unknown, beside: unknown, where: string): undefined {
    if (beside !== undefined) this.#beside(type, beside, where)
    if (value === undefined) {
      if (beside === undefined) this.#tell('structure', where, 'is null')
      return
    }
    if (type.name === 'Resource') return this.resource(value, where)
    if (CHECKED_RESOURCES.includes(type.name)) return this.#resourceOf(type.name, value, where)
    if (isPrimitive(type.name)) return this.#primitive(type, value, where)
    if (!isObject(value)) return this.#tell('structure', where, `must be an object (${type.name})`)
    this.#object(type.name, value, where)
    if (type.targets !== null) this.#target(type.targets, value, where)
  }

  #resourceOf(type: string, value: unknown, where: string): undefined {
    if (isObject(value) && value.resourceType !== type)
      return this.#tell('structure', where, `must be a resource of type ${type}`)
    this.resource(value, where)
  }

  #primitive({ name, codes }: ElementType, value: unknown, where: string): undefined {
    const whyNot = whyNotPrimitive(name, value)
    if (whyNot !== null) this.#tell('value', where, whyNot)
    else if (codes !== null && !codes.includes(value as string))
      this.#tell('code-invalid', where, `"${told(value as string)}" is none of ${codes.join(', ')}`)
  }

  /** What stands beside a primitive value under its name with an underscore: an id and extensions. */
  #beside(type: ElementType, beside: unknown, where: string): undefined {
    if (!isPrimitive(type.name))
      return this.#tell('structure', where, 'only a plain value has a part with an underscore')
    if (!isObject(beside))
      return this.#tell('structure', where, 'what stands beside the value must be an object')
    for (const [name, value] of Object.entries(beside)) {
      if (name === 'id' && whyNotPrimitive('string', value) === null) continue
      if (name !== 'extension' || !Array.isArray(value) || value.length === 0)
        this.#tell('structure', `${where}.${told(name)}`, 'there is no such element beside a value')
      else
        for (const [at, each] of value.entries())
          this.#value(
            { name: 'Extension', codes: null, targets: null },
            each,
            undefined,
            `${where}.extension[${at}]`,
          )
    }
  }

  /** A reference says its type in itself, unless it points into the bundle, into the resource or is a business number. */
  #target(targets: readonly string[], { reference, type }: Given, where: string): undefined {
    const said =
      typeof reference === 'string'
        ? /(?:^|\/)([A-Z][A-Za-z]+)\/[A-Za-z0-9.-]{1,64}(?:\/_history\/[A-Za-z0-9.-]{1,64})?$/.exec(
            reference,
          )?.[1]
        : type
    if (typeof said === 'string' && /^[A-Z]/.test(said) && !targets.includes(said))
      this.#tell('value', where, `points at a ${told(said)}; it may point at ${targets.join(', ')}`)
  }

  #tell(code: FhirIssue, where: string, what: string): undefined {
    this.problems.push({ code, where, what })
  }
}

function isObject(given: unknown): given is Given {
  return typeof given === 'object' && given !== null && !Array.isArray(given)
}

function told(text: string): string {
  return text.replace(/[^\u0020-\u{10ffff}]/gu, '?').slice(0, 80)
}
