import { scaleLinear } from '@visx/scale'
import { apart } from './apart.ts'
import { ChartFrame } from './chart-frame.tsx'
import { withUnit } from './number-rule.ts'
import { useWidth } from './use-width.ts'
import './slope-chart.css'

export type Slope = { readonly name: string; readonly before: number; readonly after: number }

type SlopeChartProps = {
  readonly title: string
  readonly titleUnseen?: boolean
  readonly unit: string
  readonly slopes: readonly Slope[]
  /** The slope to look at: drawn in the accent, the others pale behind it. */
  readonly main?: string
  readonly heightPx?: number
}

const ROOM = 104
const [TOP, BOTTOM] = [34, 16]

/** Before and after as a line between two uprights, one for each treatment. */
export function SlopeChart({ title, titleUnseen, unit, slopes, main, heightPx = 220 }: SlopeChartProps) {
  const [frame, width] = useWidth<HTMLDivElement>(320)
  const values = slopes.flatMap(({ before, after }) => [before, after])
  const [low, high] = [Math.min(...values), Math.max(...values)]
  const slack = Math.max((high - low) * 0.1, 1)
  const toY = scaleLinear({ domain: [low - slack, high + slack], range: [heightPx - BOTTOM, TOP] })
  const [left, right] = [ROOM, Math.min(width, 420) - ROOM]
  return (
    <ChartFrame
      title={title}
      {...(titleUnseen !== undefined && { titleUnseen })}
      rows={slopes}
      keyOf={(slope) => slope.name}
      columns={[
        { name: 'Treatment', cell: (slope) => slope.name },
        { name: `Before, ${unit}`, cell: (slope) => slope.before, figures: true },
        { name: `After, ${unit}`, cell: (slope) => slope.after, figures: true },
      ]}
    >
      <div ref={frame} className="slope-chart">
        <svg
          width={Math.min(width, 420)}
          height={heightPx}
          role="img"
          aria-label={`${title}. ${slopes.map((slope) => spoken(slope, unit)).join('; ')}`}
        >
          <Uprights left={left} right={right} heightPx={heightPx} />
          {slopes.map((slope) => (
            <line
              key={slope.name}
              className={slope.name === main || slopes.length === 1 ? 'slope-main' : 'slope'}
              x1={left}
              x2={right}
              y1={toY(slope.before)}
              y2={toY(slope.after)}
            />
          ))}
          <Ends side="before" slopes={slopes} main={main} x={left} toY={toY} unit={unit} />
          <Ends side="after" slopes={slopes} main={main} x={right} toY={toY} unit={unit} />
        </svg>
      </div>
    </ChartFrame>
  )
}

function Uprights({ left, right, heightPx }: { left: number; right: number; heightPx: number }) {
  return [
    { x: left, words: 'before', anchor: 'end' as const },
    { x: right, words: 'after', anchor: 'start' as const },
  ].map(({ x, words, anchor }) => (
    <g key={words}>
      <line className="slope-upright" x1={x} x2={x} y1={TOP - 12} y2={heightPx - 4} />
      <text x={x + (anchor === 'end' ? 8 : -8)} y="14" textAnchor={anchor}>
        {words}
      </text>
    </g>
  ))
}

type EndsProps = {
  readonly side: 'before' | 'after'
  readonly slopes: readonly Slope[]
  readonly main: string | undefined
  readonly x: number
  readonly toY: (value: number) => number
  readonly unit: string
}

function Ends({ side, slopes, main, x, toY, unit }: EndsProps) {
  const labels = apart(
    slopes.map((slope) => toY(slope[side])),
    17,
  )
  return slopes.map((slope, index) => {
    const chosen = slope.name === main || slopes.length === 1
    return (
      <g key={slope.name} className={chosen ? 'slope-end-main' : 'slope-end'}>
        <circle cx={x} cy={toY(slope[side])} r={chosen ? 5.5 : 4} />
        <text
          x={side === 'before' ? x - 12 : x + 12}
          y={(labels[index] ?? 0) + 5}
          textAnchor={side === 'before' ? 'end' : 'start'}
        >
          {chosen ? withUnit(String(slope[side]), unit) : slope[side]}
        </text>
      </g>
    )
  })
}

function spoken({ name, before, after }: Slope, unit: string): string {
  return `${name}: before ${withUnit(String(before), unit)}, after ${withUnit(String(after), unit)}`
}
