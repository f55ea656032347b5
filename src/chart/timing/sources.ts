import type { Source } from '../../clinical/worked.ts'

/** What due times rest on besides the department's own documents, which bring their sources along. */
export const TIMING_SOURCES = {
  institutionTimes: {
    key: 'institutionTimes',
    cite: 'HL7 v3 GTSAbbreviation, as in FHIR R4 4.0.1',
    place: 'BID, TID, QID: at institution specified times',
    standing: 'verified',
  },
  repeatPattern: {
    key: 'repeatPattern',
    cite: 'HL7 v2 table 0335, repeat pattern, and TQ1-3',
    place: 'code, or period and unit',
    standing: 'verified',
  },
  clockChange: {
    key: 'clockChange',
    cite: 'ECMAScript Temporal and RFC 5545 section 3.3.5: a skipped time moves on by the length of the gap, of a repeated one the first counts',
    place: 'disambiguation compatible',
    standing: 'from memory',
  },
  elapsed: {
    key: 'elapsed',
    cite: 'An interval in minutes or hours without standard times is counted in real time from its start',
    standing: 'design rule',
  },
  orderedGap: {
    key: 'orderedGap',
    cite: 'The order: an as-needed interval is the least time between doses, never a schedule',
    standing: 'design rule',
  },
} as const satisfies Readonly<Record<string, Source>>
