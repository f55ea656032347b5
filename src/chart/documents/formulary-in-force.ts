import { FORMULARY, type Formulary, formularyOf } from '../../clinical/medicine/index.ts'
import type { Chart } from '../folds/chart.ts'
import { documentsInForce } from './documents-in-force.ts'

/** The formulary in force at an instant, with its look-ups; the program's own until the department adopted one. */
export function formularyInForce(chart: Chart, at: string): Formulary {
  const { formulary } = documentsInForce(chart.factsAbout('document', 'formulary'), at).documents
  return formulary.adopted === null ? FORMULARY : formularyOf(formulary.content)
}
