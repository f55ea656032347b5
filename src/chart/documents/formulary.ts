import {
  defaultFormularyDocument,
  FormularyDocument,
  formularyProblems,
} from '../../clinical/medicine/index.ts'
import type { DocumentKind } from './document-kind.ts'

/** What the hospital holds of each nebulized medicine: packs, doses, gaps, totals, cautions, mixing, rules. */
export const FORMULARY_KIND: DocumentKind<'formulary', FormularyDocument> = {
  name: 'formulary',
  title: 'Formulary',
  schema: FormularyDocument,
  get defaults() {
    return defaultFormularyDocument()
  },
  check: formularyProblems,
}
