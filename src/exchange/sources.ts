import type { Source } from '../clinical/worked.ts'

/** What the translations rest on. */
export const EXCHANGE_SOURCES = {
  gs1: {
    key: 'gs1',
    cite: 'GS1 Barcode Syntax Dictionary (gs1/gs1-syntax-dictionary)',
    place: 'application identifiers 01, 10, 11, 17, 21, 30, 7003, 715, 8017 to 8019',
    standing: 'verified-secondary',
  },
  gs1Century: {
    key: 'gs1Century',
    cite: 'GS1 General Specifications',
    place: 'section 7.12, century of two-digit years',
    standing: 'from memory',
  },
  hibc: {
    key: 'hibc',
    cite: 'Health Industry Bar Code, supplier labeling: primary data and modulo 43 check (hibcc.org)',
    standing: 'verified-secondary',
  },
  hl7: {
    key: 'hl7',
    cite: 'HL7 version 2.5.1',
    place: 'chapters 2, 3, 4 and 7; table 0357 for errors',
    standing: 'verified-secondary',
  },
  repeatPattern: {
    key: 'repeatPattern',
    cite: 'HL7 v2 table 0335, repeat pattern',
    standing: 'verified',
  },
} as const satisfies Readonly<Record<string, Source>>
