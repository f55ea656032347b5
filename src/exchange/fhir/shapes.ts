import table from './data/shapes.json' with { type: 'json' }

/** One way in which an element may be given: its type, the codes where a list binds, what a reference may point at. */
export type ElementType = {
  readonly name: string
  readonly codes: readonly string[] | null
  readonly targets: readonly string[] | null
}

export type Element = {
  /** The element as FHIR names it, `value[x]` for a choice. */
  readonly name: string
  readonly least: number
  readonly isList: boolean
  /** By the name in JSON: `valueQuantity` and so on for a choice, otherwise the one name. */
  readonly types: ReadonlyMap<string, ElementType>
}

export type Shape = {
  readonly elements: readonly Element[]
  readonly byJsonName: ReadonlyMap<string, Element>
}

const codeLists: Readonly<Record<string, readonly string[]>> = table.codes
const written: Readonly<Record<string, Readonly<Record<string, string>>>> = table.types
const known = new Map<string, Shape>()

/** Resources whose elements are known here. */
export const CHECKED_RESOURCES: readonly string[] = table.resources

/** The elements of a type (`Patient`, `Timing.repeat`, `Quantity`); null for a primitive or an unknown one. */
export function shapeOf(type: string): Shape | null {
  const found = known.get(type)
  if (found) return found
  const lines = Object.hasOwn(written, type) ? written[type] : undefined
  if (!lines) return null
  const elements = Object.entries(lines).map(([name, line]) => elementOf(name, line))
  const byJsonName = new Map(
    elements.flatMap((element) => [...element.types.keys()].map((name) => [name, element] as const)),
  )
  const shape = { elements, byJsonName }
  known.set(type, shape)
  return shape
}

/** "0..* Reference(Patient|Group)" and its like. */
function elementOf(name: string, line: string): Element {
  const [, least = '0', most = '1', rest = ''] = /^(\d+)\.\.(\S+) (.*)$/.exec(line) ?? []
  const types = rest.split(' | ').map(typeOf)
  const stem = name.replace('[x]', '')
  const isChoice = stem !== name
  return {
    name,
    least: Number(least),
    isList: most !== '1' && most !== '0',
    types: new Map(types.map((type) => [isChoice ? stem + capital(type.name) : name, type])),
  }
}

function typeOf(text: string): ElementType {
  const [, name = text, , targets] = /^(\S+?)( #|\(|$)(.*?)\)?$/.exec(text) ?? []
  const list = /#(\S+)$/.exec(text)?.[1]
  return {
    name,
    codes: list === undefined ? null : (codeLists[list] ?? null),
    targets: list === undefined && targets ? targets.split('|') : null,
  }
}

function capital(name: string): string {
  return name.charAt(0).toUpperCase() + name.slice(1)
}
