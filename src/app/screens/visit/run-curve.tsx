import type { VisitForecast } from '../../../chart/bedside/forecast-visit.ts'
import { LineChart } from '../../parts/line-chart.tsx'

type RunCurveProps = {
  readonly forecast: Extract<VisitForecast, { ok: true }>
  /** Minutes of mist so far, or in all when it has ended. */
  readonly minutes: number
  /** How the run ended; without it the run goes on. */
  readonly ended?: 'finished' | 'stopped'
}

/** Medicine out of the cup over the run as forecast, with where the run stands now, or where it ended. */
export function RunCurve({ forecast, minutes, ended }: RunCurveProps) {
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
      mark={{ x: minutes, y: now, words: markWords(minutes, now, ended) }}
    />
  )
}

function markWords(minutes: number, mg: number, ended: RunCurveProps['ended']): string {
  const out = `about ${mg.toPrecision(2)} mg out of the cup`
  if (ended === undefined) return `now: ${out}`
  return `${ended === 'finished' ? 'sputtered' : 'stopped'} after ${minutes.toFixed(1)} min: ${out}`
}

function likelyAt(curve: Extract<VisitForecast, { ok: true }>['curve'], minutes: number): number {
  const after = curve.findIndex((point) => point.minutes >= minutes)
  const [from, to] = [curve[Math.max(0, after - 1)], after < 0 ? curve.at(-1) : curve[after]]
  if (!from || !to) return 0
  const span = to.minutes - from.minutes
  return span <= 0 ? to.likely : from.likely + ((minutes - from.minutes) / span) * (to.likely - from.likely)
}
