import { memo } from 'react'
import { KindMark } from '../../parts/strip.tsx'
import { cautionsBySetup } from './cautions-by-setup.ts'
import type { Results } from './use-results.ts'

/** What to know before trusting the figures, each caution once, with the set-ups that it holds for. */
export const Heeds = memo(function Heeds({ results }: { readonly results: Results }) {
  const setups = results.shown.flatMap(({ letter, result }) =>
    result.ok ? [{ letter, cautions: result.cautions }] : [],
  )
  const heeds = cautionsBySetup(setups)
  if (heeds.length === 0) return null
  return (
    <ul className="bench-heeds small" aria-label="To heed">
      {heeds.map(({ caution, letters }) => (
        <li key={caution}>
          <KindMark kind="caution" />
          <span>
            {letters && <strong>{letters.join(', ')}: </strong>}
            {caution}
          </span>
        </li>
      ))}
    </ul>
  )
})
