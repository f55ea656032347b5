type HourLoadProps = {
  readonly hours: readonly (number | null)[]
  readonly name: string
  readonly words: string
}

const [WIDTH, HEIGHT] = [120, 22]

/** How full each hour is, as small strokes under a line that stands for the whole hour. */
export function HourLoad({ hours, name, words }: HourLoadProps) {
  const step = WIDTH / Math.max(1, hours.length)
  return (
    <>
      <svg
        className="hour-load"
        viewBox={`0 0 ${WIDTH} ${HEIGHT + 4}`}
        preserveAspectRatio="none"
        role="img"
        aria-label={`Load of ${name}: ${words}`}
      >
        <line className="hour-load-full" x1="0" x2={WIDTH} y1="2" y2="2" />
        {hours.map((share, hour) =>
          share === null ? null : (
            <rect
              // biome-ignore lint/suspicious/noArrayIndexKey: the hour is what the stroke stands for
              key={hour}
              className={share > FULL ? 'hour-load-bar hour-load-bar-full' : 'hour-load-bar'}
              x={hour * step + 1}
              width={Math.max(1, step - 2)}
              y={2 + HEIGHT * (1 - Math.min(1, share))}
              height={HEIGHT * Math.min(1, share)}
            />
          ),
        )}
      </svg>
      <p className="hour-load-words">{words}</p>
    </>
  )
}

/** An hour this full leaves no room for a call. Design rule. */
const FULL = 0.9
