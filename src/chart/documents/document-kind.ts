import { z } from 'zod'
import { once } from '../../clinical/once.ts'
import { type Source, STANDINGS } from '../../clinical/worked.ts'

/** What is wrong with a document, and where in it. */
export type DocumentProblem = { readonly where: string; readonly what: string }

/**
 * One of the department's documents: its schema, what the program brings along until the department adopts its
 * own, and what a schema cannot say about it (`check`).
 */
export type DocumentKind<Name extends string = string, Content = unknown> = {
  readonly name: Name
  readonly title: string
  readonly schema: z.ZodType<Content>
  readonly defaults: Content
  readonly check: (content: Content) => readonly DocumentProblem[]
}

/**
 * Ties a document's name to its content. The defaults pass through the schema like anybody's document, when they are
 * first asked for: a page that opens must not wait for documents that it may never show.
 * @throws ZodError, when the defaults are asked for, if they do not fit the schema
 */
export function defineDocument<Name extends string, Content>(kind: {
  readonly name: Name
  readonly title: string
  readonly schema: z.ZodType<Content>
  readonly defaults: unknown
  readonly check: (content: Content) => readonly DocumentProblem[]
}): DocumentKind<Name, Content> {
  const defaults = once(() => kind.schema.parse(kind.defaults))
  return {
    ...kind,
    get defaults() {
      return defaults()
    },
  }
}

export const Text = z.string().trim().min(1).max(400)
export const Id = z.string().trim().min(1).max(80)
export const ClockTime = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'a time of day as HH:MM')

/** A source as a document writes it down; the rest of the document names it by its key. */
const StatedSource = z.strictObject({
  key: Id,
  cite: Text,
  place: Text.exactOptional(),
  standing: z.enum(STANDINGS),
})

/** The sources that a document rests on, each once. */
export const StatedSources = z.array(StatedSource).min(1)

/** The sources behind the given keys, in the document's order, each once. */
export function sourcesOf(
  content: { readonly sources: readonly Source[] },
  keys: readonly string[],
): readonly Source[] {
  return content.sources.filter((source) => keys.includes(source.key))
}

/** Keys named in the document that its list of sources does not hold, and keys that it holds twice. */
export function sourceProblems(
  sources: readonly Source[],
  named: readonly { readonly where: string; readonly key: string }[],
): DocumentProblem[] {
  const known = new Set(sources.map((source) => source.key))
  return [
    ...repeated(
      'sources',
      sources.map((source) => source.key),
    ),
    ...named
      .filter(({ key }) => !known.has(key))
      .map(({ where, key }) => ({
        where,
        what: `names the source ${key}, which the document does not list`,
      })),
  ]
}

/** A problem for every value that stands more than once in a list of ids. */
export function repeated(where: string, ids: readonly string[]): DocumentProblem[] {
  const twice = new Set(ids.filter((id, at) => ids.indexOf(id) !== at))
  return [...twice].map((id) => ({ where, what: `${id} stands there more than once` }))
}

/** A problem for every value that is not among the known ones. */
export function unknown(
  where: string,
  ids: readonly string[],
  known: ReadonlySet<string>,
  whatItShouldBe: string,
): DocumentProblem[] {
  return ids.filter((id) => !known.has(id)).map((id) => ({ where, what: `${id} is not ${whatItShouldBe}` }))
}
