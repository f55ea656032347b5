import { rangeText, significant } from './figure-text.ts'
import { withUnit } from './number-rule.ts'
import { share } from './share.ts'
import './spread-bar.css'

type SpreadBarProps = {
  readonly name: string
  readonly low: number
  readonly likely: number
  readonly high: number
  readonly unit: string
  /** The ends of the line; the same for bars that are to be compared. */
  readonly scale: { readonly from: number; readonly to: number }
  readonly digits?: number
}

/** Low, likely and high on a line: the bar is the spread, the dot the likely value; said in words below. */
export function SpreadBar({ name, low, likely, high, unit, scale, digits = 2 }: SpreadBarProps) {
  const value = withUnit(significant(likely, digits), unit)
  const range = rangeText(low, high, digits)
  const words = range === null ? null : withUnit(range, unit)
  const at = (value: number) => share(value, scale) * 200
  return (
    <span className="spread-bar">
      <svg
        viewBox="-8 0 216 16"
        role="img"
        aria-label={words === null ? `${name}: ${value}` : `${name}: likely ${value}, from ${words}`}
      >
        <line className="spread-bar-line" x1="0" x2="200" y1="8" y2="8" />
        <rect
          className="spread-bar-band"
          x={at(low) - 4}
          y="4"
          width={Math.max(8, at(high) - at(low) + 8)}
          height="8"
          rx="4"
        />
        <circle className="spread-bar-dot" cx={at(likely)} cy="8" r="6" />
      </svg>
      <span className="spread-bar-words" aria-hidden="true">
        {words ?? value}
      </span>
    </span>
  )
}
