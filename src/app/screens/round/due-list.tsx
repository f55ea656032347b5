import type { Dose } from '../../../chart/folds/doses.ts'
import { placeText } from '../../../chart/handover.ts'
import { useChart, useClock, useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { WindowMark } from '../../parts/window-mark.tsx'
import { useOpenVisit } from '../visit/use-open-visit.ts'
import { DoseCautions } from './dose-cautions.tsx'
import { shortName } from './short-name.ts'
import { type RoundView, standing } from './use-round.ts'

/** What is due, dose by dose in order of time, whoever will give it: complete without any plan. */
export function DueList({ round }: { readonly round: RoundView }) {
  const waiting = round.doses.filter(({ status }) => status !== 'given' && status !== 'not given')
  return (
    <ol className="thread">
      {waiting.map((dose) => (
        <Knot key={`${dose.orderId} ${dose.doseAt}`} dose={dose} scale={round.scale(dose)} />
      ))}
    </ol>
  )
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
        <DoseCautions orderId={dose.orderId} doseAt={dose.doseAt} />
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
