import './cup-picture.css'

type CupPictureProps = {
  /** What is in the cup, from the bottom up [mL]. */
  readonly portions: readonly { readonly text: string; readonly volumeMl: number }[]
  /** The most that the cup may hold [mL]. */
  readonly maxMl: number
}

const [TOP, BOTTOM, WIDE, NARROW] = [18, 182, 62, 24]
const MIDDLE = 78

/**
 * The cup drawn to scale: a cone whose drawn volume is the fill, so that half as much stands lower than half way
 * down, as it does in the hand. Graduations every mL.
 */
export function CupPicture({ portions, maxMl }: CupPictureProps) {
  const total = portions.reduce((sum, { volumeMl }) => sum + volumeMl, 0)
  const y = (ml: number) => BOTTOM - (BOTTOM - TOP) * heightShare(Math.min(ml, maxMl) / maxMl)
  let below = 0
  const layers = portions.map(({ text, volumeMl }) => {
    const layer = { text, volumeMl, from: y(below), to: y(below + volumeMl) }
    below += volumeMl
    return layer
  })
  const words = portions.map(({ text, volumeMl }) => `${text} ${volumeMl} mL`).join(', ')
  return (
    <figure className="cup-picture">
      <svg
        viewBox="0 0 340 200"
        role="img"
        aria-label={`Cup with ${round(total)} of at most ${maxMl} mL: ${words}`}
      >
        {layers.map((layer, index) => (
          <path
            key={layer.text}
            className={`cup-layer cup-layer-${index % 3}`}
            d={slice(layer.from, layer.to)}
          />
        ))}
        <path className="cup-wall" d={slice(BOTTOM, TOP)} />
        {Array.from({ length: Math.floor(maxMl) }, (_, index) => index + 1).map((ml) => (
          <g key={ml}>
            <line
              className="cup-mark"
              x1={MIDDLE + halfAt(y(ml)) - 12}
              x2={MIDDLE + halfAt(y(ml))}
              y1={y(ml)}
              y2={y(ml)}
            />
            {(maxMl <= 10 || ml % 5 === 0) && (
              <text className="cup-number" x={MIDDLE + halfAt(y(ml)) + 6} y={y(ml) + 4}>
                {ml}
              </text>
            )}
          </g>
        ))}
        {layers.map(({ text, volumeMl, from, to }) => (
          <text key={text} className="cup-text" x="172" y={(from + to) / 2 + 5}>
            {round(volumeMl)} mL {text.length > 15 ? `${text.slice(0, 14)}…` : text}
          </text>
        ))}
      </svg>
    </figure>
  )
}

/** Share of the height at which a share of a cone's volume stands, for walls from NARROW at the bottom to WIDE. */
function heightShare(volumeShare: number): number {
  const [a, b] = [NARROW ** 3, WIDE ** 3]
  return (Math.cbrt(a + volumeShare * (b - a)) - NARROW) / (WIDE - NARROW)
}

function halfAt(y: number): number {
  return NARROW + ((BOTTOM - y) / (BOTTOM - TOP)) * (WIDE - NARROW)
}

function slice(from: number, to: number): string {
  return `M${MIDDLE - halfAt(from)} ${from}L${MIDDLE - halfAt(to)} ${to}H${MIDDLE + halfAt(to)}L${MIDDLE + halfAt(from)} ${from}Z`
}

function round(ml: number): number {
  return Math.round(ml * 100) / 100
}
