import { useState } from 'react'
import type { VisitForecast } from '../../../chart/bedside/forecast-visit.ts'
import { choiceOf } from '../../../chart/bedside/set-up-choice.ts'
import type { StopSpoken } from '../../../chart/bedside/watch.ts'
import type { Measurements } from '../../../chart/facts/measurements.ts'
import { runElapsedMs, runPhase } from '../../../chart/folds/run.ts'
import { labelWaits } from '../../../chart/stages/match-label.ts'
import { lastMeasured } from '../../../chart/stages/measure.ts'
import { Button } from '../../parts/button.tsx'
import { minutesInWords, minutesSeconds } from '../../parts/duration-text.ts'
import { NumberEntry } from '../../parts/number-entry.tsx'
import { Strip } from '../../parts/strip.tsx'
import type { Bedside } from './bedside.ts'
import { useDesk } from './desk.ts'
import { EndSheet } from './end-sheet.tsx'
import { LabelCheck } from './label-check.tsx'
import type { RuleFor } from './number-rules.ts'
import { RunCurve } from './run-curve.tsx'
import { StopSheet } from './stop-sheet.tsx'

type GiveStageProps = {
  readonly bedside: Bedside
  readonly rules: RuleFor
  readonly alongside: readonly string[]
  readonly mayStart: boolean
}

/** Sentences to say while it runs, one after the other. Common practice, no source. */
const COACHING = [
  'Slow breath in through the mouth, a short hold, easy out. Sit tall.',
  'Quiet breaths now, and a deeper one every so often.',
  'Tell me at once if your heart races, your chest hurts or breathing gets harder.',
] as const
const COACH_SECONDS = 45

/** The run: a timer that follows from facts, the forecast under it, and every figure put to the stop rules. */
export function GiveStage({ bedside, rules, alongside, mayStart }: GiveStageProps) {
  const { visit, act } = useDesk()
  if (runPhase(visit.run) === 'not started') {
    if (labelWaits(visit)) return <LabelCheck bedside={bedside} />
    return (
      <div className="stack">
        <p className="voice">
          Mask or mouthpiece on, gas running, patient {visit.setUp?.body.position ?? 'sitting up'}. Then
          start.
        </p>
        {!mayStart && (
          <Strip kind="halt" word="Another treatment of yours is running.">
            This hospital’s setting is one open treatment a therapist. Finish or hand over the other first.
          </Strip>
        )}
        <div className="row row-apart">
          <span />
          <Button
            tone="primary"
            gloved
            isDisabled={!mayStart}
            onPress={() => act('treatment-started', { alongside: [...alongside] })}
          >
            Start
          </Button>
        </div>
      </div>
    )
  }
  return <Running bedside={bedside} rules={rules} />
}

function Running({ bedside, rules }: { readonly bedside: Bedside; readonly rules: RuleFor }) {
  const { visit, now, act } = useDesk()
  const [stops, setStops] = useState<readonly StopSpoken[] | null>(null)
  const [ending, setEnding] = useState<'finished' | 'stopped' | null>(null)
  const elapsedMs = runElapsedMs(visit.run, now)
  const paused = runPhase(visit.run) === 'paused'
  const forecast = visit.setUp ? bedside.forecast(choiceOf(visit.setUp.body)) : null
  const coaching = COACHING[Math.floor(elapsedMs / 1000 / COACH_SECONDS) % COACHING.length]
  return (
    <div className="stack stack-wide">
      <div className="row row-apart">
        <div className="run-time" role="timer" aria-label={`${minutesInWords(elapsedMs)} gone`}>
          <span className="run-time-figure" aria-hidden="true">
            {minutesSeconds(elapsedMs)}
          </span>
          <span className="voice">{paused ? 'paused' : expected(forecast)}</span>
        </div>
        <Button tone="halt" gloved onPress={() => setEnding('stopped')}>
          Stop now
        </Button>
      </div>
      {forecast?.ok && <RunCurve forecast={forecast} minutes={elapsedMs / 60_000} />}
      <p className="voice">{coaching}</p>
      <PartWayCheck bedside={bedside} rules={rules} onSpoken={setStops} />
      <div className="row row-apart">
        <div className="row">
          <Button gloved onPress={() => setStops([])}>
            Something is wrong
          </Button>
          {paused ? (
            <Button gloved onPress={() => act('treatment-goes-on', {})}>
              Go on
            </Button>
          ) : (
            <Button gloved onPress={() => act('treatment-paused', { reason: 'paused by hand' })}>
              Pause
            </Button>
          )}
        </div>
        <Button tone="primary" gloved onPress={() => setEnding('finished')}>
          Finished: measure again
        </Button>
      </div>
      <StopSheet
        spoken={stops}
        onClose={() => setStops(null)}
        onStop={() => {
          setStops(null)
          setEnding('stopped')
        }}
      />
      <EndSheet how={ending} onClose={() => setEnding(null)} rules={rules} />
    </div>
  )
}

function expected(forecast: VisitForecast | null): string {
  if (!forecast?.ok) return 'gone; no forecast for this set-up'
  const { value, spread } = forecast.runMinutes
  const from = forecast.runsHere > 0 ? `, from ${forecast.runsHere} runs here` : ''
  const range = spread ? ` · likely ${Math.round(spread.low)} to ${Math.round(spread.high)}${from}` : ''
  return `of about ${Math.round(value)} minutes${range}`
}

type CheckProps = {
  readonly bedside: Bedside
  readonly rules: RuleFor
  readonly onSpoken: (spoken: readonly StopSpoken[]) => void
}

/** Each figure is put to the stop rules as soon as it is entered, before it is kept with the others. */
function PartWayCheck({ bedside, rules, onSpoken }: CheckProps) {
  const { visit, act } = useDesk()
  const [values, setValues] = useState<Measurements>({})
  const before = lastMeasured(visit, 'before')?.values
  const last = visit.measured.filter(({ body }) => body.when === 'part-way').at(-1)
  const enter = (key: 'heartRatePerMin' | 'respiratoryRatePerMin' | 'spo2Percent') => ({
    rule: rules(key),
    value: values[key] ?? null,
    remarks: before?.[key] === undefined ? [] : [`before ${before[key]}`],
    onChange: (value: number | null) => {
      const { [key]: _, ...others } = values
      const next = value === null ? others : { ...others, [key]: value }
      setValues(next)
      if (value === null) return
      const spoken = bedside.stops(next)
      if (spoken.length > 0) {
        act('measured', { when: 'part-way', values: next, notMeasured: [], confirmedOdd: [] })
        setValues({})
        onSpoken(spoken)
      }
    },
  })
  return (
    <section className="stack stack-close" aria-label="Part-way check">
      <div className="figures">
        <NumberEntry {...enter('heartRatePerMin')} />
        <NumberEntry {...enter('spo2Percent')} />
        <NumberEntry {...enter('respiratoryRatePerMin')} />
        <div className="reading">
          <span className="reading-name">Part-way check</span>
          <span className={last ? 'quiet' : 'strong'}>{last ? 'done' : 'when half is gone'}</span>
          <Button
            isDisabled={Object.keys(values).length === 0}
            onPress={() => {
              act('measured', { when: 'part-way', values, notMeasured: [], confirmedOdd: [] })
              setValues({})
            }}
          >
            Keep
          </Button>
        </div>
      </div>
    </section>
  )
}
