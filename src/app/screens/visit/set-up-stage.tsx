import { useDeferredValue, useMemo, useState } from 'react'
import type { SetUpAdvice } from '../../../chart/bedside/advise-set-up.ts'
import type { BedsideFinding } from '../../../chart/bedside/finding.ts'
import type { SetUpChoice, VisitForecast } from '../../../chart/bedside/forecast-visit.ts'
import { GASES, INTERFACES } from '../../../chart/facts/visit.ts'
import type { BodyOf } from '../../../chart/registry.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Dial } from '../../parts/dial.tsx'
import { Figure } from '../../parts/figure.tsx'
import { Strip } from '../../parts/strip.tsx'
import { Sources } from '../../parts/working.tsx'
import { AnswerFindings, type Answers, unanswered } from './answer-findings.tsx'
import type { Bedside } from './bedside.ts'
import { useDesk } from './desk.ts'

const POSITIONS: readonly SetUpChoice['position'][] = ['sitting up', 'semi-upright', 'lying', 'on a lap']

/** The advised set-up, why, and what it will do; any part can be chosen otherwise, and departing from advice is said. */
export function SetUpStage({ bedside }: { readonly bedside: Bedside }) {
  const { act } = useDesk()
  const view = useMemo(() => bedside.setUp(), [bedside])
  const [choice, setChoice] = useState<SetUpChoice>(view.advised)
  const [answers, setAnswers] = useState<Answers>({})
  const steady = useDeferredValue(choice)
  const forecast = useMemo(() => bedside.forecast(steady), [bedside, steady])
  const set = (change: Partial<SetUpChoice>) => setChoice({ ...choice, ...change })
  const cup = view.cups.find(({ id }) => id === choice.cupId)
  const departures = departuresFrom(view, choice)
  const open = unanswered(departures, answers)
  const keep = () =>
    act('set-up-chosen', {
      ...choice,
      forecast: figures(forecast),
      againstAdvice: departures.map(({ code, what }) => ({ code, what, answer: answers[code] ?? '' })),
    })
  return (
    <div className="stack stack-wide">
      <div>
        <p className="voice">
          Advised: {view.advised.interface}, {view.advised.gas}, {view.advised.position}.
        </p>
        <ul className="quiet">
          {[...view.because, ...view.gasBecause].map((reason) => (
            <li key={reason}>{reason}</li>
          ))}
        </ul>
        <details>
          <summary>Where this advice is from</summary>
          <Sources sources={view.sources} />
        </details>
      </div>
      {view.cautions.map((caution) => (
        <Strip key={caution} kind="caution">
          {caution}
        </Strip>
      ))}
      <Choice
        label="Interface"
        options={asOptions(INTERFACES)}
        value={choice.interface}
        onChange={(next) => set({ interface: next, reservoirMl: next === 'mouthpiece' ? 50 : 0 })}
      />
      <Choice
        label="Driving gas"
        options={asOptions(GASES)}
        value={choice.gas}
        onChange={(gas) => set({ gas })}
      />
      <Choice
        label="Nebulizer"
        tileRem={14}
        options={view.cups.map(({ id, name }) => ({ value: id, label: name }))}
        value={choice.cupId}
        onChange={(cupId) => set({ cupId })}
      />
      <Choice
        label="Position"
        options={asOptions(POSITIONS)}
        value={choice.position}
        onChange={(position) => set({ position })}
      />
      <Dial
        label="Flow"
        unit="L/min"
        value={choice.flowLPerMin}
        onChange={(flowLPerMin) => set({ flowLPerMin })}
        low={cup?.flow.low ?? 4}
        high={cup?.flow.high ?? 12}
        step={0.5}
      />
      <Forecast forecast={forecast} />
      {departures.length > 0 && (
        <AnswerFindings findings={departures} answers={answers} onChange={setAnswers} />
      )}
      <div className="row row-apart">
        <span />
        <Button tone="primary" gloved isDisabled={open > 0} onPress={keep}>
          {open > 0 ? `Say why first (${open})` : 'Set up so'}
        </Button>
      </div>
    </div>
  )
}

function Forecast({ forecast }: { readonly forecast: VisitForecast }) {
  if (!forecast.ok)
    return (
      <Strip kind="note" word="No forecast:">
        {forecast.why}
      </Strip>
    )
  return (
    <section className="stack stack-close" aria-label="Forecast">
      <div className="figures">
        <Figure name="Run time" worked={forecast.runMinutes} />
        {forecast.leavesCupMg && <Figure name="Leaves the cup" worked={forecast.leavesCupMg} />}
        {forecast.reachesLungMg && <Figure name="Reaches the lung" worked={forecast.reachesLungMg} />}
      </div>
      <p className="quiet small">
        {forecast.runsHere > 0
          ? `Learned from ${forecast.runsHere} runs of this nebulizer here.`
          : 'From published figures; no run of this nebulizer is charted here yet.'}{' '}
        Single figures are good to about a factor of one and a half.
      </p>
    </section>
  )
}

function figures(forecast: VisitForecast): BodyOf<'set-up-chosen'>['forecast'] {
  if (!forecast.ok) return null
  const { runMinutes, leavesCupMg, reachesLungMg, runsHere } = forecast
  return {
    runMinutes: figure(runMinutes, 'min'),
    leavesCupMg: leavesCupMg && figure(leavesCupMg, 'mg'),
    reachesLungMg: reachesLungMg && figure(reachesLungMg, 'mg'),
    inspiredOxygenPercent: null,
    runsHere,
  }
}

function figure({ value, spread }: { value: number; spread?: { low: number; high: number } }, unit: string) {
  return { low: spread?.low ?? value, likely: value, high: spread?.high ?? value, unit }
}

/** What was chosen otherwise than advised, as findings that want a reason. */
function departuresFrom(view: SetUpAdvice, choice: SetUpChoice): BedsideFinding[] {
  const { advised } = view
  const departures: BedsideFinding[] = []
  if (choice.interface !== advised.interface) {
    departures.push({
      code: 'interface-against-advice',
      severity: 'caution',
      what: `${choice.interface} instead of ${advised.interface}.`,
      why: view.because.join(' '),
      sources: view.sources.map(({ cite }) => cite),
    })
  }
  if (choice.gas !== advised.gas) {
    departures.push({
      code: 'gas-against-advice',
      severity: 'caution',
      what: `${choice.gas} instead of ${advised.gas}.`,
      why: view.gasBecause.join(' '),
      sources: view.sources.map(({ cite }) => cite),
    })
  }
  return departures
}
