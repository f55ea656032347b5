import type { ReactNode } from 'react'
import './reading.css'

type ReadingProps = {
  readonly name: string
  /** The figure as shown; null where there is none. */
  readonly value: string | null
  readonly unit: string
  /** Normal range, last value, change: each a short remark under the figure. */
  readonly remarks?: readonly string[]
  /** Shown instead of the figure while there is none. */
  readonly without?: ReactNode
}

/** A measured figure: name, large number, unit, and what it stands against. */
export function Reading({ name, value, unit, remarks = [], without = 'not measured' }: ReadingProps) {
  return (
    <span className="reading">
      <span className="reading-name">{name}</span>{' '}
      {value === null ? (
        <span className="reading-without">{without}</span>
      ) : (
        <span className="reading-figure">
          <span className="figure-number">{value}</span> <span className="figure-unit">{unit}</span>
        </span>
      )}{' '}
      {remarks.length > 0 && <span className="reading-remarks">{remarks.join(' · ')}</span>}
    </span>
  )
}
