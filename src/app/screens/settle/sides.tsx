import type { Side } from '../../../chart/folds/question.ts'
import { useChart, useDayAndClock } from '../../local/hooks.ts'

/** The facts that do not go together, each as it was written: who, when, on which device, what. */
export function Sides({ sides }: { readonly sides: readonly Side[] }) {
  const chart = useChart()
  const when = useDayAndClock()
  return (
    <ul className="settle-sides">
      {sides.map(({ what, at, personId, device }) => (
        <li key={`${at} ${device} ${what}`}>
          <span className="figures">{when(at)}</span> {chart.person(personId)?.name ?? personId} {what}{' '}
          <span className="quiet small">on {device}</span>
        </li>
      ))}
    </ul>
  )
}
