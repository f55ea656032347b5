import type { CarryList } from '../../../shift/index.ts'
import { carryParts } from './carry-lines.ts'

/** What to take along for the rest of the round, part by part. */
export function Carry({ list }: { readonly list: CarryList | null }) {
  if (list === null) return <p className="quiet">Counting what the round needs…</p>
  const parts = carryParts(list)
  if (parts.length === 0) return <p className="quiet">Nothing is left to carry for.</p>
  return (
    <div className="carry">
      {parts.map(({ name, lines }) => (
        <section key={name}>
          <h3>{name}</h3>
          <ul className="lines">
            {lines.map(({ what, amount }) => (
              <li key={`${what} ${amount}`} className="row row-apart">
                <span>{what}</span>
                <span className="strong">{amount}</span>
              </li>
            ))}
          </ul>
        </section>
      ))}
    </div>
  )
}
