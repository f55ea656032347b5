import { defaultFormulary, type Formulary, formularyOf } from '../../clinical/medicine/index.ts'
import type { Chart } from '../folds/chart.ts'
import { type DocumentsInForce, documentsInForce } from './documents-in-force.ts'

/** The formulary in force at an instant, with its look-ups; the program's own until the department adopted one. */
export function formularyInForce(chart: Chart, at: string): Formulary {
  return formularyFrom(documentsInForce(chart.factsAbout('document', 'formulary'), at).documents)
}

/** The formulary among documents in force, with its look-ups. */
export function formularyFrom({ formulary }: Pick<DocumentsInForce['documents'], 'formulary'>): Formulary {
  return formulary.adopted === null ? defaultFormulary() : formularyOf(formulary.content)
}
