import { BadInput } from '../../worked.ts'
import type { Formulary } from '../formulary/formulary.ts'
import { ANY_OTHER } from '../formulary/mixing-schema.ts'
import { DILUENTS } from './pair.ts'

/**
 * The id by which pairs are kept of a drug that is asked about by id or name: a medicine of the formulary under any
 * of its names, a diluent, or another drug that a published pair speaks of (`any other drug` too).
 * @throws BadInput for a name that neither knows: no data is an answer about two drugs, not about a slip of the pen
 */
export function drugNamed(formulary: Formulary, field: string, name: string): string {
  const medicine = formulary.medicine(name) ?? formulary.named(name)
  if (medicine !== null) return medicine.id
  const wanted = plain(name)
  if (wanted === 'any-other-drug') return ANY_OTHER
  const { pairs } = formulary.document.mixing
  const known = [...DILUENTS, ...pairs.flatMap(({ a, b }) => [a, b])].find((id) => plain(id) === wanted)
  if (known !== undefined) return known
  throw new BadInput(
    field,
    name,
    'one medicine of the formulary, a diluent, or a drug of the published pairs',
  )
}

/** Letter case, spaces, percent signs and the plural of a class do not tell drugs apart. */
function plain(name: string): string {
  return name
    .trim()
    .toLowerCase()
    .replace(/^any solution with /, '')
    .replace(/[\s%-]+/g, '-')
    .replace(/-$/, '')
    .replace(/s$/, '')
}
