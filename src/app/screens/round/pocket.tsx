import type { CarryList } from '../../../shift/index.ts'
import type { RoundPicture } from '../../planning/plan-picture.ts'
import { carryParts } from './carry-lines.ts'

type PocketProps = {
  readonly round: RoundPicture
  readonly standing: string
  readonly carry: CarryList | null
}

/** The round on paper, for the pocket: times, places and boxes to tick, and what to carry. */
export function Pocket({ round, standing, carry }: PocketProps) {
  return (
    <section className="pocket only-print">
      <p>
        {round.name}. {standing} On paper it does not change when the plan does.
      </p>
      <table>
        <tbody>
          {round.stops.map((stop) => (
            <tr key={stop.id}>
              <td className="pocket-box">☐</td>
              <td className="pocket-time">{stop.at}</td>
              <td>
                <strong>{stop.place}</strong> {stop.who}
              </td>
              <td>
                {stop.what} {stop.how && `(${stop.how})`}
              </td>
              <td>{stop.wayWords}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {carry &&
        carryParts(carry).map(({ name, lines }) => (
          <p key={name}>
            <strong>{name}:</strong>{' '}
            {lines.map(({ what, amount }) => (amount ? `${what} (${amount})` : what)).join(', ')}
          </p>
        ))}
    </section>
  )
}
