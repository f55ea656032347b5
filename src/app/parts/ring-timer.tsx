import { minutesInWords, minutesSeconds } from './duration-text.ts'
import './ring-timer.css'

type RingTimerProps = {
  readonly name: string
  /** Time gone [ms]. */
  readonly elapsedMs: number
  /** How long it will take [ms]; null where nobody said. */
  readonly ofMs: number | null
  /** What the figure inside counts: time left, or time gone. */
  readonly counts?: 'left' | 'gone'
  /** Diameter [rem]. */
  readonly sizeRem?: number
}

/**
 * A ring that fills as time goes, with the time in figures inside. Over time it is a broken ring with a plus sign.
 * It is a timer to screen readers, read when asked, not every second.
 */
export function RingTimer({ name, elapsedMs, ofMs, counts = 'left', sizeRem = 4.25 }: RingTimerProps) {
  const over = ofMs !== null && elapsedMs > ofMs
  const part = ofMs === null || ofMs <= 0 ? 0 : Math.min(1, elapsedMs / ofMs)
  const shown = ofMs === null || counts === 'gone' ? elapsedMs : Math.abs(ofMs - elapsedMs)
  const about = ofMs === null ? 'gone' : over && counts === 'left' ? 'over' : counts
  return (
    <div
      className={over ? 'ring-timer ring-timer-over' : 'ring-timer'}
      role="timer"
      aria-label={`${name}: ${minutesInWords(shown)} ${about}`}
      style={{ inlineSize: `${sizeRem}rem`, blockSize: `${sizeRem}rem` }}
    >
      <svg viewBox="0 0 68 68" aria-hidden="true">
        <circle className="ring-timer-way" cx="34" cy="34" r="30" />
        <circle
          className="ring-timer-gone"
          cx="34"
          cy="34"
          r="30"
          pathLength={100}
          strokeDasharray={over ? '4 3' : `${part * 100} 100`}
        />
      </svg>
      <span className="ring-timer-figure" aria-hidden="true">
        {over && counts === 'left' && '+'}
        {minutesSeconds(shown)}
      </span>
    </div>
  )
}
