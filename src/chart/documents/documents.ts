import { CUPS } from './cups.ts'
import type { DocumentKind, DocumentProblem } from './document-kind.ts'
import { EQUIPMENT } from './equipment.ts'
import { FORMULARY_KIND } from './formulary.ts'
import { HOSPITAL_MAP } from './hospital-map.ts'
import { ISOLATION } from './isolation.ts'
import { MEDICINE_CODES } from './medicine-codes.ts'
import { PLANNING_POLICY } from './planning-policy.ts'
import { SITE } from './site.ts'
import { STANDARD_TIMES } from './standard-times.ts'
import { UNITS } from './units.ts'
import { WINDOWS } from './windows.ts'

/** Every document that the department may change. A new one is added here and nowhere else. */
export const DOCUMENTS = {
  site: SITE,
  'standard-times': STANDARD_TIMES,
  windows: WINDOWS,
  isolation: ISOLATION,
  formulary: FORMULARY_KIND,
  'medicine-codes': MEDICINE_CODES,
  cups: CUPS,
  units: UNITS,
  'hospital-map': HOSPITAL_MAP,
  'planning-policy': PLANNING_POLICY,
  equipment: EQUIPMENT,
} as const

export type DocumentName = keyof typeof DOCUMENTS
export type DocumentContent<Name extends DocumentName> = (typeof DOCUMENTS)[Name]['defaults']

export type ReadDocument<Name extends DocumentName> =
  | { readonly ok: true; readonly content: DocumentContent<Name> }
  | { readonly ok: false; readonly problems: readonly DocumentProblem[] }

export function isDocumentName(name: string): name is DocumentName {
  return Object.hasOwn(DOCUMENTS, name)
}

/**
 * Reads a document as somebody sent or stored it: the schema first, then what the schema cannot say. Every problem
 * is told, not only the first; nothing is filled in. Never throws.
 */
export function readDocument<Name extends DocumentName>(name: Name, content: unknown): ReadDocument<Name> {
  // One document's name and content belong together; the register cannot say so for all of them at once.
  const kind = DOCUMENTS[name] as unknown as DocumentKind<Name, DocumentContent<Name>>
  const read = kind.schema.safeParse(content)
  if (!read.success) {
    const problems = read.error.issues.map((issue) => ({
      where: issue.path.map(String).join('.'),
      what: issue.message,
    }))
    return { ok: false, problems }
  }
  const problems = kind.check(read.data)
  return problems.length > 0 ? { ok: false, problems } : { ok: true, content: read.data }
}
