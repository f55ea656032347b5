import type { Source, Standing } from '../../../clinical/worked.ts'

/** How well a source stands, from best to least, in words for a count. */
const WORDS: Readonly<Record<Standing, string>> = {
  verified: 'read in the source',
  'verified-secondary': 'read where quoted',
  computed: 'computed',
  'from memory': 'not looked up',
  'common practice, no source': 'common practice',
  'design rule': 'own rule',
}

/** How well the sources of a document stand, counted: `5 sources: 2 read in the source, 3 own rule`. */
export function sourceCount(sources: readonly Source[]): string {
  const counts = (Object.keys(WORDS) as Standing[])
    .map((standing) => ({ standing, count: sources.filter((each) => each.standing === standing).length }))
    .filter(({ count }) => count > 0)
    .map(({ standing, count }) => `${count} ${WORDS[standing]}`)
  return `${sources.length} source${sources.length === 1 ? '' : 's'}: ${counts.join(', ')}`
}
