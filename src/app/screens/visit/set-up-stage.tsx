import { useDeferredValue, useMemo, useState } from 'react'
import type { SetUpAdvice } from '../../../chart/bedside/advise-set-up.ts'
import type { BedsideFinding } from '../../../chart/bedside/finding.ts'
import type { SetUpChoice } from '../../../chart/bedside/set-up-choice.ts'
import { GASES, INTERFACES } from '../../../chart/facts/visit.ts'
import { lastMeasured } from '../../../chart/stages/measure.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Dial } from '../../parts/dial.tsx'
import { Strip } from '../../parts/strip.tsx'
import { Sources } from '../../parts/working.tsx'
import { AnswerFindings, type Answers, unanswered } from './answer-findings.tsx'
import type { Bedside } from './bedside.ts'
import { useDesk } from './desk.ts'
import { GasSupplyEntry, gaugeMissing } from './gas-supply-entry.tsx'
import { SentSetUp } from './sent-set-up.tsx'
import { forecastToKeep, SetUpForecast } from './set-up-forecast.tsx'

const POSITIONS: readonly SetUpChoice['position'][] = ['sitting up', 'semi-upright', 'lying', 'on a lap']

const CANNULA = [
  { value: 'on', label: 'stays on' },
  { value: 'off', label: 'comes off' },
] as const

/** The advised set-up, why, and what it will do; any part can be chosen otherwise, and departing from advice is said. */
export function SetUpStage({ bedside }: { readonly bedside: Bedside }) {
  const { act, visit } = useDesk()
  const view = useMemo(() => bedside.setUp(), [bedside])
  const [choice, setChoice] = useState<SetUpChoice>(view.advised)
  const [answers, setAnswers] = useState<Answers>({})
  const [sentBy, setSentBy] = useState<string | null>(null)
  const steady = useDeferredValue(choice)
  const forecast = useMemo(() => bedside.forecast(steady), [bedside, steady])
  const set = (change: Partial<SetUpChoice>) => setChoice({ ...choice, ...change })
  const onCannula = lastMeasured(visit, 'before')?.values.spo2On?.device === 'nasal cannula'
  const oxygenAtRisk = choice.gas !== 'air' && view.advised.gas === 'air' ? view.ifOxygen : null
  const cup = view.cups.find(({ id }) => id === choice.cupId)
  const departures = departuresFrom(view, choice)
  const open = unanswered(departures, answers)
  const noGauge = gaugeMissing(choice.supply)
  const keep = () =>
    act('set-up-chosen', {
      ...choice,
      ...(sentBy !== null && { sentBy }),
      forecast: forecastToKeep(forecast),
      againstAdvice: departures.map(({ code, what }) => ({ code, what, answer: answers[code] ?? '' })),
    })
  return (
    <div className="stack stack-wide">
      <SentSetUp
        advice={view}
        taken={sentBy}
        onTake={(sent, factId) => {
          set(sent)
          setSentBy(factId)
        }}
      />
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
      {oxygenAtRisk && (
        <Strip kind="caution" word="Carbon dioxide may rise.">
          {oxygenAtRisk}
        </Strip>
      )}
      <GasSupplyEntry supply={choice.supply} onChange={(supply) => set({ supply })} />
      {onCannula && (
        <Choice
          label="Nasal cannula during the run"
          options={CANNULA}
          value={choice.cannulaStaysOn ? 'on' : 'off'}
          onChange={(next) => set({ cannulaStaysOn: next === 'on' })}
        />
      )}
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
      <SetUpForecast forecast={forecast} />
      {departures.length > 0 && (
        <AnswerFindings findings={departures} answers={answers} onChange={setAnswers} />
      )}
      <div className="row row-apart">
        <span />
        <Button tone="primary" gloved isDisabled={open > 0 || noGauge} onPress={keep}>
          {open > 0 ? `Say why first (${open})` : noGauge ? 'Read the gauge first' : 'Set up so'}
        </Button>
      </div>
    </div>
  )
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
