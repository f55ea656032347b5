import type { Dose } from '../../../chart/folds/doses.ts'
import { fullName } from '../../../chart/folds/patient.ts'
import { runElapsedMs } from '../../../chart/folds/run.ts'
import { placeText } from '../../../chart/handover.ts'
import { useChart, useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { RingTimer } from '../../parts/ring-timer.tsx'
import { useOpenVisit } from '../visit/use-open-visit.ts'
import { shortName } from './short-name.ts'

/** A treatment that is running, with its time left. It alone follows every second. */
export function Running({ dose }: { readonly dose: Dose }) {
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
