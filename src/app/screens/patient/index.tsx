import { useParams } from '@tanstack/react-router'
import { openFindings, orderStatusAt, termsAt } from '../../../chart/folds/order.ts'
import { ageAt, ageInWords, fullName } from '../../../chart/folds/patient.ts'
import { noteInForce, type VisitState } from '../../../chart/folds/visit.ts'
import { placeText } from '../../../chart/handover.ts'
import { lastMeasured, measuredLine, oxygenText } from '../../../chart/stages/measure.ts'
import { useChart, useClock, useLooked, useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Empty } from '../../parts/empty.tsx'
import { SlopeChart } from '../../parts/slope-chart.tsx'
import { Strip } from '../../parts/strip.tsx'
import { Screen } from '../../shell/screen.tsx'
import { useOpenVisit } from '../visit/use-open-visit.ts'
import { NotWhole } from './not-whole.tsx'
import { OutsideRecords } from './outside-records.tsx'
import './patient.css'

/** One patient: who, the cautions, the orders, and the treatments as a time line with before and after. */
export function Patient() {
  const { patientId } = useParams({ from: '/patient/$patientId' })
  const chart = useChart()
  const now = useNow()
  const patient = chart.patient(patientId)
  useLooked(patientId, 'patient')
  if (patient.mrn === null) {
    return (
      <Screen title="Patient">
        <Empty title="This patient is not on this tablet.">
          It holds whom the shift concerns. Fetch the record under Record by its number, or go back to the
          round.
        </Empty>
        <NotWhole patientId={patientId} />
      </Screen>
    )
  }
  const age = ageAt(patient.dob, now)
  const orders = chart.ordersOf(patientId)
  const visits = orders
    .flatMap((order) => chart.visitsOf(order.orderId))
    .sort((a, b) => (a.opened.at < b.opened.at ? 1 : -1))
  return (
    <Screen title="Patient" about={placeText(patient)}>
      <header>
        <h2 className="voice-title">{fullName(patient)}</h2>
        <p className="quiet">
          {placeText(patient)} · born {patient.dob ?? 'unknown'}
          {age && ` · ${ageInWords(age)}`}
          {patient.weightKg !== null && ` · ${patient.weightKg} kg`}
          {patient.heightCm !== null && ` · ${patient.heightCm} cm`} · record {patient.mrn}
        </p>
      </header>
      <NotWhole patientId={patientId} />
      <section className="stack stack-close" aria-label="Cautions">
        <Strip
          kind={patient.allergies && patient.allergies.length > 0 ? 'caution' : 'note'}
          word="Allergies:"
        >
          {patient.allergies === null
            ? 'nobody has said'
            : patient.allergies
                .map(({ text, reaction }) => (reaction ? `${text} (${reaction})` : text))
                .join(', ') || 'none known'}
        </Strip>
        {patient.conditions.length > 0 && <p>{patient.conditions.map(({ text }) => text).join(' · ')}</p>}
        <p>
          Oxygen: {oxygenText(patient.oxygen)}
          {patient.target && ` · target SpO2 ${patient.target.lowPercent} to ${patient.target.highPercent} %`}
          {patient.isolation.length > 0 && ` · precautions ${patient.isolation.join(', ')}`}
        </p>
      </section>
      <section className="stack stack-close">
        <h3 className="voice-head">Orders</h3>
        <ul className="lines">
          {orders.map((order) => {
            const terms = termsAt(order, now)
            const open = openFindings(order)
            return (
              <li key={order.orderId}>
                <p className="strong">
                  {terms.title} · {terms.frequency?.code ?? 'no frequency'} · {orderStatusAt(order, now)}
                </p>
                <p className="quiet">
                  {terms.indication ?? 'no indication given'} ·{' '}
                  {terms.prescriber?.name ?? 'no prescriber given'}
                </p>
                {open.map((finding) => (
                  <Strip key={finding.code} kind={finding.severity === 'stop' ? 'halt' : 'caution'}>
                    {finding.what} The {finding.whoMustAnswer} owes an answer.
                  </Strip>
                ))}
              </li>
            )
          })}
        </ul>
      </section>
      <Trend visits={visits} />
      <section className="stack stack-close">
        <h3 className="voice-head">Treatments</h3>
        {visits.length === 0 && <p className="quiet">None on this tablet yet.</p>}
        <ol className="lines">
          {visits.map((visit) => (
            <Treatment key={visit.visitId} visit={visit} />
          ))}
        </ol>
      </section>
      <OutsideRecords patientId={patientId} />
    </Screen>
  )
}

/** Heart rate and peak flow before and after the last treatments: the newest in the accent, older ones behind it. */
function Trend({ visits }: { readonly visits: readonly VisitState[] }) {
  const clock = useClock()
  const pairs = (pick: (visit: VisitState, when: 'before' | 'after') => number | undefined) =>
    visits.slice(0, 6).flatMap((visit) => {
      const [before, after] = [pick(visit, 'before'), pick(visit, 'after')]
      return before === undefined || after === undefined
        ? []
        : [{ name: clock(visit.opened.at), before, after }]
    })
  const heart = pairs((visit, when) => lastMeasured(visit, when)?.values.heartRatePerMin)
  const peak = pairs((visit, when) => {
    const blows = lastMeasured(visit, when)?.values.peakFlowLPerMin
    return blows && Math.max(...blows)
  })
  const charts = [
    { title: 'Peak flow, before and after', unit: 'L/min', slopes: peak },
    { title: 'Heart rate, before and after', unit: '/min', slopes: heart },
  ].filter(({ slopes }) => slopes.length > 0)
  if (charts.length === 0) return null
  return (
    <div className="side-by-side">
      {charts.map(({ title, unit, slopes }) => (
        <SlopeChart
          key={title}
          title={title}
          unit={unit}
          slopes={slopes}
          {...(slopes[0] && { main: slopes[0].name })}
        />
      ))}
    </div>
  )
}

function Treatment({ visit }: { readonly visit: VisitState }) {
  const chart = useChart()
  const clock = useClock()
  const open = useOpenVisit()
  const order = chart.order(visit.orderId)
  const [before, after] = [lastMeasured(visit, 'before'), lastMeasured(visit, 'after')]
  const opener = visit.opened.by.personId
  const by = visit.note ? noteInForce(visit.note).name : (chart.person(opener)?.name ?? opener)
  return (
    <li className="treatment">
      <span className="strong">{clock(visit.opened.at)}</span>
      <div>
        <p className="strong">{order ? termsAt(order, visit.opened.at).title : 'Treatment'}</p>
        {visit.notGiven && <p>Not given: {visit.notGiven.body.reason}</p>}
        {before && <p className="quiet">before {measuredLine(before)}</p>}
        {after && <p className="quiet">after {measuredLine(after)}</p>}
        {visit.stops.map((stop) => (
          <p key={stop.factId}>
            {stop.body.decision}: {stop.body.rules.map(({ what }) => what).join(', ') || stop.body.seen}
          </p>
        ))}
        <p className="quiet small">
          {by}
          {visit.note?.needsCosign && ' · waits for a co-signature'}
        </p>
      </div>
      <Button
        tone="quiet"
        onPress={() => open({ ...visit, visit })}
        aria-label={`Open the visit of ${clock(visit.opened.at)}`}
      >
        Open
      </Button>
    </li>
  )
}
