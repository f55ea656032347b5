import { once } from '../../once.ts'
import { BadInput, type Source } from '../../worked.ts'
import { SOURCES } from '../sources.ts'
import { type Backed, sourcesBehind } from './backing.ts'
import { defaultFormularyDocument, FormularyDocument } from './formulary-document.ts'
import { type FormularyProblem, formularyProblems } from './formulary-problems.ts'
import type { Medicine } from './medicine-schema.ts'

/** A formulary that has been validated, with its look-ups. */
export type Formulary = {
  readonly version: string
  readonly document: FormularyDocument
  readonly medicines: readonly Medicine[]
  /** By id, or null. */
  readonly medicine: (id: string) => Medicine | null
  /** By generic name or another name, whatever the case; null when no medicine or more than one has it. */
  readonly named: (name: string) => Medicine | null
  /** The sources behind a statement, shown no better than the statement stands. */
  readonly sources: (backed: Backed) => readonly Source[]
}

/** Thrown when a document cannot be a formulary: every problem, and where it is. */
export class FormularyRefused extends BadInput {
  readonly problems: readonly FormularyProblem[]
  constructor(problems: readonly FormularyProblem[]) {
    const first = problems.slice(0, 3).map(({ where, what }) => `${where} ${what}`)
    super('formulary', `a document with ${problems.length} problems`, `one without; ${first.join('; ')}`)
    this.problems = problems
  }
}

/**
 * Reads a formulary from a document of unknown making. Nothing of it is used when anything is wrong.
 * @throws FormularyRefused naming every problem and its place
 */
export function loadFormulary(document: unknown): Formulary {
  const read = FormularyDocument.safeParse(document)
  if (!read.success) {
    throw new FormularyRefused(
      read.error.issues.map(({ path, message }) => ({ where: path.join('.'), what: message })),
    )
  }
  const problems = formularyProblems(read.data)
  if (problems.length > 0) throw new FormularyRefused(problems)
  return formularyOf(read.data)
}

/** Look-ups over a document that has been validated, by the schema and by `formularyProblems`. */
export function formularyOf(document: FormularyDocument): Formulary {
  const byId = new Map(document.medicines.map((medicine) => [medicine.id, medicine]))
  // what the program says by its own rules rests on its own sources, whatever a hospital's document lists
  const register = new Map(
    [...Object.values(SOURCES), ...document.sources].map((source) => [source.key, source]),
  )
  return {
    version: document.version,
    document,
    medicines: document.medicines,
    medicine: (id) => byId.get(id) ?? null,
    named: (name) => onlyOne(document.medicines.filter((medicine) => hasName(medicine, name))),
    sources: (backed) => sourcesBehind(register, backed),
  }
}

function hasName({ id, name, otherNames }: Medicine, wanted: string): boolean {
  const plain = wanted.trim().toLowerCase()
  return [id, name, ...otherNames].some((each) => each.toLowerCase() === plain)
}

function onlyOne<T>(items: readonly T[]): T | null {
  return items.length === 1 ? (items[0] ?? null) : null
}

/** The formulary that the program brings along. */
export const defaultFormulary = once(() => loadFormulary(defaultFormularyDocument()))
