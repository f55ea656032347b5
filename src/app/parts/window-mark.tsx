import { share } from './share.ts'
import './window-mark.css'

type WindowMarkProps = {
  /** The stretch of time that the line shows; instants in ms. */
  readonly scale: { readonly from: number; readonly to: number }
  /** The window of the dose. */
  readonly opens: number
  readonly closes: number
  /** The last acceptable time, where there is one after the window. */
  readonly lastAt?: number
  /** The promised arrival and its spread; none for a visit that is not planned. */
  readonly arrival?: { readonly low: number; readonly likely: number; readonly high: number }
  readonly state: 'on time' | 'tight' | 'late'
  /** "97 in 100 on time", "8 min late". */
  readonly words: string
  /** What a screen reader says of the window, with its times. */
  readonly spoken: string
}

const [LEFT, RIGHT] = [3, 149]

/** The window as a bracket, the promised arrival as a dot in its spread; late is a triangle and a word. */
export function WindowMark({ scale, opens, closes, lastAt, arrival, state, words, spoken }: WindowMarkProps) {
  const x = (at: number) => LEFT + share(at, scale) * (RIGHT - LEFT)
  return (
    <div className={`window-mark window-mark-${state.replace(' ', '-')}`}>
      <svg viewBox="0 0 152 26" role="img" aria-label={spoken}>
        {lastAt !== undefined && (
          <line className="window-mark-tail" x1={x(closes)} x2={x(lastAt)} y1="13" y2="13" />
        )}
        {arrival && (
          <rect
            className="window-mark-band"
            x={x(arrival.low)}
            y="9.5"
            width={Math.max(6, x(arrival.high) - x(arrival.low))}
            height="7"
            rx="3.5"
          />
        )}
        <path className="window-mark-bracket" d={`M${x(opens) + 6} 2H${x(opens)}V24H${x(opens) + 6}`} />
        <path className="window-mark-bracket" d={`M${x(closes) - 6} 2H${x(closes)}V24H${x(closes) - 6}`} />
        {arrival && <Arrival x={x(arrival.likely)} late={state === 'late'} />}
      </svg>
      <span className="window-mark-words">{words}</span>
    </div>
  )
}

function Arrival({ x, late }: { readonly x: number; readonly late: boolean }) {
  return late ? (
    <path className="window-mark-at" d={`M${x} 6 L${x + 7.5} 19.5 H${x - 7.5}Z`} />
  ) : (
    <circle className="window-mark-at" cx={x} cy="13" r="5.5" />
  )
}
