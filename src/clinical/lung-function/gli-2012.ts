import table from './data/gli-2012.json' with { type: 'json' }
import { gliSystem } from './gli.ts'
import { LUNG_SOURCES } from './sources.ts'

/** GLI-2012: ages 3 to 95, five groups; `other_mixed` is the average of the four others. Only where a site asks for it. */
export const GLI_2012 = gliSystem(
  'GLI_2012',
  table,
  ['caucasian', 'african_american', 'north_east_asian', 'south_east_asian', 'other_mixed'],
  LUNG_SOURCES.GLI_2012,
)
