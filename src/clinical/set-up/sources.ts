import type { Source } from '../worked.ts'

/** Where the advice on interface and position comes from. */
export const SET_UP_SOURCES = {
  AARC_2012: {
    key: 'AARC_2012',
    cite: 'Ari A, Restrepo RD. Aerosol delivery device selection for spontaneously breathing patients: 2012. Respir Care 2012;57:613-626',
    place: 'recommendations in the abstract',
    standing: 'verified',
  },
  IPR_LABEL: {
    key: 'IPR_LABEL',
    cite: 'US label, ipratropium bromide inhalation solution',
    place: 'precautions: eyes and narrow-angle glaucoma',
    standing: 'verified-secondary',
  },
  PRACTICE: {
    key: 'PRACTICE',
    cite: 'Bedside habit: age from which a child holds a mouthpiece, sitting up, a reservoir tube on a T-piece',
    standing: 'common practice, no source',
  },
} as const satisfies Record<string, Source>
