import type { VisitForecast } from '../../../chart/bedside/forecast-visit.ts'
import { LineChart } from '../../parts/line-chart.tsx'

type RunCurveProps = {
  readonly forecast: Extract<VisitForecast, { ok: true }>
  /** Minutes of mist so far. */
  readonly minutes: number
}

/** Medicine out of the cup over the run as forecast, with where the run stands now. */
export function RunCurve({ forecast, minutes }: RunCurveProps) {
  const { curve, runMinutes } = forecast
  const last = curve.at(-1)
  if (!last || last.high <= 0) return null
  const end = Math.max(last.minutes, minutes)
  const now = likelyAt(curve, minutes)
  return (
    <LineChart
      title="Medicine out of the cup, forecast"
      titleUnseen
      heightPx={190}
      x={{
        name: 'Time',
        unit: 'min',
        from: 0,
        to: end,
        ticks: [
          { at: 0 },
          { at: 5 },
          { at: runMinutes.value, words: `first sputter, about ${Math.round(runMinutes.value)} min` },
        ],
      }}
      y={{ name: 'Out of the cup', unit: 'mg', from: 0, to: last.high, ticks: [] }}
      line={curve.map(({ minutes: x, likely: y }) => ({ x, y }))}
      band={curve.map(({ minutes: x, low, high }) => ({ x, low, high }))}
      mark={{ x: minutes, y: now, words: `now: about ${now.toPrecision(2)} mg out of the cup` }}
    />
  )
}

function likelyAt(curve: Extract<VisitForecast, { ok: true }>['curve'], minutes: number): number {
  const after = curve.findIndex((point) => point.minutes >= minutes)
  const [from, to] = [curve[Math.max(0, after - 1)], after < 0 ? curve.at(-1) : curve[after]]
  if (!from || !to) return 0
  const span = to.minutes - from.minutes
  return span <= 0 ? to.likely : from.likely + ((minutes - from.minutes) / span) * (to.likely - from.likely)
}
