import { memo, useRef } from 'react'
import { CurveChart } from './curve-chart.tsx'
import { QUANTITIES } from './curve-values.ts'
import { useFollowing, useInSight } from './use-following.ts'
import type { Results } from './use-results.ts'

/** Output, strength, temperature and inhaled dose over the likely run, all set-ups in each picture. */
export const Curves = memo(function Curves({
  results: newest,
  chosen,
}: {
  readonly results: Results
  readonly chosen: number
}) {
  const place = useRef<HTMLElement>(null)
  const results = useFollowing(newest, useInSight(place))
  const curves = results.shown.flatMap(({ letter, result }, at) =>
    result.ok && result.curves.length > 0
      ? [{ letter, at, points: result.curves, isChosen: at === chosen }]
      : [],
  )
  const without = results.shown.filter(({ letter }) => curves.every((curve) => curve.letter !== letter))
  return (
    <section className="stack bench-curves" ref={place} aria-labelledby="bench-curves">
      <h2 className="voice-title" id="bench-curves">
        How the run goes
      </h2>
      {without.length > 0 && (
        <p className="quiet">
          {without.map(({ letter }) => letter).join(', ')}: no run is known, so there is no curve.
        </p>
      )}
      {curves.length > 0 && (
        <div className="side-by-side">
          {QUANTITIES.map((quantity) => (
            <CurveChart key={quantity.name} quantity={quantity} curves={curves} />
          ))}
        </div>
      )}
    </section>
  )
})
