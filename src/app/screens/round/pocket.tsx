import type { RoundPicture } from '../../planning/plan-picture.ts'

type PocketProps = {
  readonly round: RoundPicture
  readonly standing: string
  readonly carry: readonly { readonly what: string; readonly count: number }[]
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
      <p>To carry: {carry.map(({ what, count }) => `${count} × ${what}`).join(', ')}</p>
    </section>
  )
}
