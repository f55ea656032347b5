import type { VisitForecast } from '../../../chart/bedside/forecast-visit.ts'
import type { BodyOf } from '../../../chart/registry.ts'
import type { Worked } from '../../../clinical/worked.ts'
import { Figure } from '../../parts/figure.tsx'
import { Strip } from '../../parts/strip.tsx'

/** What the choice will do: run time, medicine, inspired oxygen, and the cylinder if it hangs on one. */
export function SetUpForecast({ forecast }: { readonly forecast: VisitForecast }) {
  if (!forecast.ok)
    return (
      <Strip kind="note" word="No forecast:">
        {forecast.why}
      </Strip>
    )
  const { inspiredOxygen, cylinder } = forecast
  return (
    <section className="stack stack-close" aria-label="Forecast">
      <div className="figures">
        <Figure name="Run time" worked={forecast.runMinutes} />
        {forecast.leavesCupMg && <Figure name="Leaves the cup" worked={forecast.leavesCupMg} />}
        {forecast.reachesLungMg && <Figure name="Reaches the lung" worked={forecast.reachesLungMg} />}
        {'worked' in inspiredOxygen && <Figure name="Inspired oxygen" worked={inspiredOxygen.worked} />}
        {cylinder?.ok && <Figure name="Cylinder lasts" worked={cylinder.minutes} />}
      </div>
      {'why' in inspiredOxygen && (
        <p className="quiet small">Inspired oxygen is not known. {inspiredOxygen.why}</p>
      )}
      {cylinder && !cylinder.ok && (
        <Strip kind="caution" word="Cylinder:">
          {cylinder.why}
        </Strip>
      )}
      {cylinder?.ok && cylinder.lasts === false && (
        <Strip kind="caution" word="The cylinder may not last.">
          The run may take longer than what is above the reserve. Take a fuller one first.
        </Strip>
      )}
      <p className="quiet small">
        {forecast.runsHere > 0
          ? `Learned from ${forecast.runsHere} runs of this nebulizer here.`
          : 'From published figures; no run of this nebulizer is charted here yet.'}{' '}
        Single figures are good to about a factor of one and a half.
      </p>
    </section>
  )
}

/** The forecast as it is put on the record with the choice. */
export function forecastToKeep(forecast: VisitForecast): BodyOf<'set-up-chosen'>['forecast'] {
  if (!forecast.ok) return null
  const { runMinutes, leavesCupMg, reachesLungMg, inspiredOxygen, runsHere } = forecast
  return {
    runMinutes: figure(runMinutes, 'min'),
    leavesCupMg: leavesCupMg && figure(leavesCupMg, 'mg'),
    reachesLungMg: reachesLungMg && figure(reachesLungMg, 'mg'),
    inspiredOxygenPercent: 'worked' in inspiredOxygen ? figure(inspiredOxygen.worked, '%') : null,
    runsHere,
  }
}

function figure({ value, spread }: Worked, unit: string) {
  return { low: spread?.low ?? value, likely: value, high: spread?.high ?? value, unit }
}
