import { choiceOf } from '../../../chart/bedside/set-up-choice.ts'
import { runElapsedMs } from '../../../chart/folds/run.ts'
import type { Bedside } from './bedside.ts'
import { useDesk } from './desk.ts'
import { RunCurve } from './run-curve.tsx'

/** The run as it was charted, laid over what was forecast for it when the set-up was chosen. */
export function RunAsCharted({ bedside }: { readonly bedside: Bedside }) {
  const { visit, now } = useDesk()
  const { setUp, ended, run } = visit
  const told = setUp?.body.forecast
  if (!setUp || !ended || !told) return null
  const forecast = bedside.forecast(choiceOf(setUp.body))
  const minutes = runElapsedMs(run, now) / 60_000
  const { low, likely, high } = told.runMinutes
  const { how } = ended.body
  const inside = minutes >= low && minutes <= high
  return (
    <section className="stack stack-close" aria-label="The run against its forecast">
      <p>
        {how === 'finished' ? 'Sputtered' : 'Stopped'} after {minutes.toFixed(1)} min. Forecast: first sputter
        at about {Math.round(likely)}, from {Math.round(low)} to {Math.round(high)} min
        {told.runsHere > 0 ? `, from ${told.runsHere} runs here` : ', from published figures'}.
        {how === 'finished' && !inside && ' Outside that range: look at cup, flow and fill.'}
      </p>
      {forecast.ok && <RunCurve forecast={forecast} minutes={minutes} ended={how} />}
    </section>
  )
}
