import table from './data/gli-global-2022.json' with { type: 'json' }
import { gliSystem } from './gli.ts'
import { LUNG_SOURCES } from './sources.ts'

/** GLI Global 2022: ages 3 to 95, no group. The default. */
export const GLI_GLOBAL_2022 = gliSystem('GLI_GLOBAL_2022', table, ['all'], LUNG_SOURCES.GLI_GLOBAL_2022)
