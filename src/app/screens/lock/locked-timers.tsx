import { useChart, useMe, useNow } from '../../local/hooks.ts'
import { runningTreatments } from '../../local/running.ts'
import { RingTimer } from '../../parts/ring-timer.tsx'

/** The treatments this person has running, as bare timers: time, but neither who nor where nor what. */
export function LockedTimers() {
  const chart = useChart()
  const me = useMe()
  const running = runningTreatments(chart, useNow()).filter(({ personId }) => personId === me.personId)
  if (running.length === 0) return null
  return (
    <section className="lock-timers" aria-label="Running treatments">
      {running.map(({ visitId, elapsedMs, ofMs, paused }, index) => (
        <div key={visitId} className="lock-timer">
          <RingTimer name={`Treatment ${index + 1}`} elapsedMs={elapsedMs} ofMs={ofMs} sizeRem={6} />
          <p className="quiet">{words(paused, elapsedMs, ofMs)}</p>
        </div>
      ))}
    </section>
  )
}

function words(paused: boolean, elapsedMs: number, ofMs: number | null): string {
  if (paused) return 'treatment paused'
  if (ofMs === null) return 'treatment running'
  return elapsedMs > ofMs ? 'past its likely end' : 'left of a treatment'
}
