import { scaleLinear } from '@visx/scale'
import { LinePath } from '@visx/shape'
import { memo } from 'react'
import type { CurvePoint } from '../../../clinical/aerosol/forecast.ts'
import { ChartFrame } from '../../parts/chart-frame.tsx'
import { classes } from '../../parts/classes.ts'
import { significant } from '../../parts/figure-text.ts'
import { withUnit } from '../../parts/number-rule.ts'
import { useWidth } from '../../parts/use-width.ts'
import { type Quantity, roundUp, valueAt } from './curve-values.ts'

export type Curve = {
  readonly letter: string
  /** Its place on the bench: says how its line is dashed. */
  readonly at: number
  readonly points: readonly CurvePoint[]
  readonly isChosen: boolean
}

const HEIGHT = 210
const EDGE = { top: 14, end: 26, bottom: 30, start: 44 }
/** Told apart by their dashes and the letter at the end, not by color. */
const DASHES = [undefined, '9 5', '2 4', '12 4 2 4'] as const
const LETTER_APART = 15

/** One quantity over the run, a line per set-up. */
export const CurveChart = memo(function CurveChart({
  quantity,
  curves,
}: {
  readonly quantity: Quantity
  readonly curves: readonly Curve[]
}) {
  const [frame, width] = useWidth<HTMLDivElement>(360)
  const known = curves.filter(({ points }) => points.some((moment) => quantity.of(moment) !== null))
  const endMin = roundUp(Math.max(0, ...curves.map(({ points }) => points.at(-1)?.minutes ?? 0)))
  const [low, high] = ends(quantity, known)
  const toX = scaleLinear({ domain: [0, endMin], range: [EDGE.start, width - EDGE.end] })
  const toY = scaleLinear({ domain: [low, high], range: [HEIGHT - EDGE.bottom, EDGE.top] })
  return (
    <ChartFrame
      title={`${quantity.name}, ${quantity.unit}`}
      rows={minutesUpTo(endMin)}
      keyOf={String}
      columns={[
        { name: 'Minute', cell: (minute) => String(minute) },
        ...known.map(({ letter, points }) => ({
          name: letter,
          figures: true,
          cell: (minute: number) => shown(valueAt(points, minute, quantity.of)),
        })),
      ]}
    >
      <div ref={frame} className="bench-curve">
        {known.length === 0 ? (
          <p className="quiet">Not known for these set-ups.</p>
        ) : (
          <svg
            width={width}
            height={HEIGHT}
            viewBox={`0 0 ${width} ${HEIGHT}`}
            role="img"
            aria-label={spoken(quantity, known)}
          >
            <Ground low={low} high={high} endMin={endMin} toX={toX} toY={toY} width={width} />
            {known.map((curve) => (
              <LinePath
                key={curve.letter}
                className={classes('bench-curve-line', curve.isChosen && 'bench-curve-chosen')}
                data={[...curve.points]}
                x={(moment) => toX(moment.minutes)}
                y={(moment) => toY(quantity.of(moment) ?? low)}
                fill="none"
                strokeDasharray={DASHES[curve.at]}
              />
            ))}
            {letters(quantity, known, toX, toY).map(({ letter, isChosen, x, y }) => (
              <text
                key={letter}
                className={classes('bench-curve-letter', isChosen && 'bench-curve-chosen')}
                x={x + 6}
                y={y + 5}
              >
                {letter}
              </text>
            ))}
          </svg>
        )}
      </div>
    </ChartFrame>
  )
})

type Scale = (value: number) => number

function Ground(props: {
  readonly low: number
  readonly high: number
  readonly endMin: number
  readonly toX: Scale
  readonly toY: Scale
  readonly width: number
}) {
  const { low, high, endMin, toX, toY, width } = props
  const foot = HEIGHT - EDGE.bottom
  return (
    <g className="bench-curve-ground">
      {[low, (low + high) / 2, high].map((value) => (
        <g key={value}>
          <line x1={EDGE.start} x2={width - EDGE.end} y1={toY(value)} y2={toY(value)} />
          <text x={EDGE.start - 6} y={toY(value) + 5} textAnchor="end">
            {significant(value, 3)}
          </text>
        </g>
      ))}
      {[0, endMin / 2, endMin].map((minute) => (
        <text
          key={minute}
          x={toX(minute)}
          y={foot + 21}
          textAnchor={minute === 0 ? 'start' : minute === endMin ? 'end' : 'middle'}
        >
          {withUnit(significant(minute, 3), 'min')}
        </text>
      ))}
    </g>
  )
}

/** The letters at the ends of the lines, moved up where two would lie on each other. */
function letters(quantity: Quantity, curves: readonly Curve[], toX: Scale, toY: Scale) {
  const placed: { letter: string; isChosen: boolean; x: number; y: number }[] = []
  for (const { letter, isChosen, points } of curves) {
    const last = points.at(-1)
    if (!last) continue
    const x = toX(last.minutes)
    let y = toY(quantity.of(last) ?? 0)
    const near = (other: { x: number; y: number }) =>
      Math.abs(other.x - x) < LETTER_APART && Math.abs(other.y - y) < LETTER_APART
    for (let blocking = placed.find(near); blocking; blocking = placed.find(near))
      y = blocking.y - LETTER_APART
    placed.push({ letter, isChosen, x, y })
  }
  return placed
}

function ends(quantity: Quantity, curves: readonly Curve[]): readonly [number, number] {
  const values = curves.flatMap(({ points }) => points.map(quantity.of).filter((value) => value !== null))
  const high = Math.max(...values)
  if (quantity.from === null) return [5 * Math.floor(Math.min(...values) / 5), 5 * Math.ceil(high / 5)]
  return [quantity.from, quantity.from + roundUp(high - quantity.from)]
}

function minutesUpTo(endMin: number): number[] {
  const step = roundUp(endMin / 12)
  return Array.from({ length: Math.floor(endMin / step) + 1 }, (_, at) => Number((at * step).toPrecision(6)))
}

function shown(value: number | null): string {
  return value === null ? 'ended' : significant(value, 3)
}

function spoken(quantity: Quantity, curves: readonly Curve[]): string {
  const each = curves.map(({ letter, points }) => {
    const [first, last] = [points.at(0), points.at(-1)]
    const [from, to] = [first && quantity.of(first), last && quantity.of(last)]
    if (!last || from == null || to == null) return `${letter} not known`
    return `${letter} from ${significant(from, 2)} to ${withUnit(significant(to, 2), quantity.unit)} in ${significant(last.minutes, 2)} min`
  })
  return `${quantity.name} over the run: ${each.join('; ')}.`
}
