import { GLI_GLOBAL_2022 } from './gli-global-2022.ts'
import { NHANES3_1999 } from './nhanes3-1999.ts'
import type { ReferenceSystem, SystemName } from './reference-system.ts'

/**
 * The reference system of a site. All but GLI-2012 are at hand at once; its table of splines, which a tablet need
 * not carry, is fetched when a site asks for it.
 */
export async function loadReferenceSystem(name: SystemName): Promise<ReferenceSystem> {
  switch (name) {
    case 'GLI_GLOBAL_2022':
      return GLI_GLOBAL_2022
    case 'GLI_2012':
      return (await import('./gli-2012.ts')).GLI_2012
    case 'NHANES3_1999':
      return NHANES3_1999
  }
}
