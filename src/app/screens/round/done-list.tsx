import type { Dose } from '../../../chart/folds/doses.ts'
import { placeText } from '../../../chart/handover.ts'
import { useChart, useClock } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { useOpenVisit } from '../visit/use-open-visit.ts'
import { shortName } from './short-name.ts'

/** What was done this shift, folded to one line until it is asked for. */
export function DoneList({ doses }: { readonly doses: readonly Dose[] }) {
  if (doses.length === 0) return null
  return (
    <details className="round-done no-print">
      <summary>{doses.length} done this shift</summary>
      <ul className="lines">
        {doses.map((dose) => (
          <DoneLine key={`${dose.orderId} ${dose.doseAt}`} dose={dose} />
        ))}
      </ul>
    </details>
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
