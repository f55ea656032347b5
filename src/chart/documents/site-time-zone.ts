import type { Chart } from '../folds/chart.ts'
import { documentsInForce } from './documents-in-force.ts'
import { SITE } from './site.ts'

/** The time zone of the hospital's clocks, by the document in force at an instant: an IANA name. */
export function siteTimeZone(chart: Pick<Chart, 'factsAbout'>, at: string): string {
  const adoptions = chart.factsAbout('document', 'site')
  if (adoptions.length === 0) return SITE.defaults.timeZone
  return documentsInForce(adoptions, at).documents.site.content.timeZone
}
