import { useState } from 'react'
import type { Dose } from '../../../chart/folds/doses.ts'
import { fullName } from '../../../chart/folds/patient.ts'
import { runElapsedMs } from '../../../chart/folds/run.ts'
import { placeText } from '../../../chart/handover.ts'
import { useChart, useClock, useMe, useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Empty } from '../../parts/empty.tsx'
import { RingTimer } from '../../parts/ring-timer.tsx'
import { WindowMark } from '../../parts/window-mark.tsx'
import { Screen } from '../../shell/screen.tsx'
import { useOpenVisit } from '../visit/use-open-visit.ts'
import { CallSheet } from './call-sheet.tsx'
import { roundSentence, standing, useRound } from './use-round.ts'
import './round.css'

type Scope = 'mine' | 'all'
const SCOPES: readonly { value: Scope; label: string }[] = [
  { value: 'mine', label: 'My units' },
  { value: 'all', label: 'All units' },
]

/** The home: what falls due this shift, in order, with its window; running treatments ride at the top. */
export function Round() {
  const now = useNow()
  const me = useMe()
  const [scope, setScope] = useState<Scope>('mine')
  const [calling, setCalling] = useState(false)
  const round = useRound(scope === 'all' ? null : me.personId, now)
  const waiting = round.doses.filter(({ status }) => status !== 'given' && status !== 'not given')
  const done = round.doses.filter(({ status }) => status === 'given' || status === 'not given')
  return (
    <Screen title="Round" about={[round.shiftWords, ...round.units].join(' · ')}>
      {round.running.map((dose) => (
        <Running key={dose.orderId + dose.doseAt} dose={dose} />
      ))}
      <h2 className="voice-title">{roundSentence(waiting)}</h2>
      <div className="round-acts">
        <Button gloved onPress={() => setCalling(true)}>
          A call came in
        </Button>
        <Choice label="Whose" labelUnseen options={SCOPES} value={scope} onChange={setScope} tileRem={8} />
      </div>
      {waiting.length === 0 && (
        <Empty title="Nothing is due until the shift ends.">
          New orders appear here as soon as they arrive.
        </Empty>
      )}
      <ol className="thread">
        {waiting.map((dose) => (
          <Knot key={`${dose.orderId} ${dose.doseAt}`} dose={dose} scale={round.scale(dose)} />
        ))}
      </ol>
      {done.length > 0 && (
        <details className="round-done">
          <summary>{done.length} done this shift</summary>
          <ul className="lines">
            {done.map((dose) => (
              <DoneLine key={`${dose.orderId} ${dose.doseAt}`} dose={dose} />
            ))}
          </ul>
        </details>
      )}
      <CallSheet isOpen={calling} onClose={() => setCalling(false)} />
    </Screen>
  )
}

function Running({ dose }: { readonly dose: Dose }) {
  const chart = useChart()
  const now = useNow()
  const open = useOpenVisit()
  const { visit } = dose
  if (!visit) return null
  const patient = chart.patient(dose.patientId)
  const likely = visit.setUp?.body.forecast?.runMinutes.likely
  return (
    <section className="round-running" aria-label="Running treatment">
      <RingTimer
        name={`Treatment of ${fullName(patient)}`}
        elapsedMs={runElapsedMs(visit.run, now)}
        ofMs={likely === undefined ? null : likely * 60_000}
      />
      <div className="round-running-words">
        <p className="strong">
          {dose.status === 'to sign' ? 'To finish' : 'Running'}: {placeText(patient)}, {shortName(patient)}
        </p>
        <p className="quiet">{dose.title}</p>
      </div>
      <Button gloved onPress={() => open(dose)}>
        Go back in
      </Button>
    </section>
  )
}

/** "Anselm K.": enough to find the bed by, no more than others in the corridor should read. */
function shortName(patient: { given: string | null; family: string | null }): string {
  return [patient.given, patient.family ? `${patient.family.charAt(0)}.` : null].filter(Boolean).join(' ')
}

function Knot({ dose, scale }: { readonly dose: Dose; readonly scale: { from: number; to: number } }) {
  const chart = useChart()
  const clock = useClock()
  const now = useNow()
  const open = useOpenVisit()
  const patient = chart.patient(dose.patientId)
  const { state, words } = standing(dose, now)
  const spoken = `window ${clock(dose.window.earliest)} to ${clock(dose.window.onTimeUntil)}, due ${clock(dose.doseAt)}`
  const at = Date.parse(dose.doseAt)
  return (
    <li className={`knot knot-${state.replace(' ', '-')}`}>
      <span className="knot-time">{clock(dose.doseAt)}</span>
      <span className="knot-mark" aria-hidden="true" />
      <div className="knot-who">
        <p className="strong">{placeText(patient)}</p>
        <p className="quiet">
          {shortName(patient)}
          {patient.away && ` · away: ${patient.away.reason}`}
          {patient.isolation.length > 0 && ` · precautions ${patient.isolation.join(', ')}`}
        </p>
      </div>
      <div className="knot-what">
        <p>{dose.title}</p>
        <p className="quiet">{dose.status === 'in hand' ? 'visit begun' : ''}</p>
      </div>
      <WindowMark
        scale={scale}
        opens={Date.parse(dose.window.earliest)}
        closes={Date.parse(dose.window.onTimeUntil)}
        lastAt={Date.parse(dose.latest)}
        arrival={{ low: at, likely: at, high: at }}
        state={state}
        words={words}
        spoken={spoken}
      />
      <Button
        gloved
        tone={state === 'late' || dose.status === 'due' ? 'primary' : 'plain'}
        onPress={() => open(dose)}
        aria-label={`Visit ${placeText(patient)}, ${shortName(patient)}, ${dose.title}, ${spoken}`}
      >
        {dose.status === 'in hand' ? 'Go on' : 'Visit'}
      </Button>
    </li>
  )
}

function DoneLine({ dose }: { readonly dose: Dose }) {
  const chart = useChart()
  const clock = useClock()
  const open = useOpenVisit()
  const patient = chart.patient(dose.patientId)
  return (
    <li className="row row-apart">
      <span>
        {clock(dose.doseAt)} {placeText(patient)}, {shortName(patient)}: {dose.title} · {dose.status}
      </span>
      {dose.visit && (
        <Button
          tone="quiet"
          onPress={() => open(dose)}
          aria-label={`Read the note of ${placeText(patient)} ${clock(dose.doseAt)}`}
        >
          Read
        </Button>
      )}
    </li>
  )
}
