import type { Side } from '../../../chart/folds/question.ts'
import { useChart, useClock, useDayAndClock } from '../../local/hooks.ts'

/** The facts that do not go together, each as it was written: who, when, on which device, what. */
export function Sides({ sides }: { readonly sides: readonly Side[] }) {
  const chart = useChart()
  const when = useDayAndClock()
  const clock = useClock()
  const nameOf = (personId: string) => chart.person(personId)?.name ?? personId
  return (
    <ul className="settle-sides">
      {sides.map(({ what, at, personId, device, placed }) => (
        <li key={`${at} ${device} ${what}`}>
          <span className="figures">{when(at)}</span> {nameOf(personId)} {what}
          {placed && ` ${nameOf(placed.personId)}${placed.startAt ? ` at ${clock(placed.startAt)}` : ''}`}{' '}
          <span className="quiet small">on {device}</span>
        </li>
      ))}
    </ul>
  )
}
