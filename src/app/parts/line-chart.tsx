import { scaleLinear } from '@visx/scale'
import { Area, LinePath } from '@visx/shape'
import type { Axis } from './axis.ts'
import { ChartFrame } from './chart-frame.tsx'
import { withUnit } from './number-rule.ts'
import { placeTicks } from './place-ticks.ts'
import { useWidth } from './use-width.ts'
import './line-chart.css'

export type LineChartProps = {
  readonly title: string
  readonly titleUnseen?: boolean
  readonly x: Axis
  readonly y: Axis
  readonly line: readonly { readonly x: number; readonly y: number }[]
  readonly band?: readonly { readonly x: number; readonly low: number; readonly high: number }[]
  /** Single values as they were measured, drawn as open rings. */
  readonly points?: readonly { readonly x: number; readonly y: number }[]
  /** Where things stand now: a line across, a dot, and what it is in words. */
  readonly mark?: { readonly x: number; readonly y: number; readonly words: string }
  /** Level lines with their name: a limit, a mean. */
  readonly levels?: readonly { readonly at: number; readonly words: string }[]
  readonly heightPx?: number
}

const EDGE = { top: 46, end: 14, bottom: 30, start: 14 }

/** A curve with the band it is expected in. The vertical axis is named in words, not crowded with figures. */
export function LineChart(props: LineChartProps) {
  const { title, titleUnseen, x, y, line, heightPx = 240 } = props
  const [frame, width] = useWidth<HTMLDivElement>(640)
  const toX = scaleLinear({ domain: [x.from, x.to], range: [EDGE.start, width - EDGE.end] })
  const toY = scaleLinear({ domain: [y.from, y.to], range: [heightPx - EDGE.bottom, EDGE.top] })
  return (
    <ChartFrame
      title={title}
      {...(titleUnseen !== undefined && { titleUnseen })}
      rows={line}
      keyOf={(point) => String(point.x)}
      columns={[
        { name: heading(x), cell: (point) => round(point.x) },
        { name: heading(y), cell: (point) => round(point.y), figures: true },
      ]}
    >
      <div ref={frame} className="line-chart">
        <svg
          width={width}
          height={heightPx}
          viewBox={`0 0 ${width} ${heightPx}`}
          role="img"
          aria-label={spoken(props)}
        >
          <Curves {...props} toX={toX} toY={toY} />
          <Levels levels={props.levels ?? []} toY={toY} width={width} />
          <Ground x={x} y={y} toX={toX} heightPx={heightPx} width={width} />
          {props.mark && <Mark mark={props.mark} toX={toX} toY={toY} width={width} heightPx={heightPx} />}
        </svg>
      </div>
    </ChartFrame>
  )
}

type Scale = (value: number) => number

function Curves({
  line,
  band,
  points,
  toX,
  toY,
}: LineChartProps & { readonly toX: Scale; readonly toY: Scale }) {
  return (
    <>
      {band && (
        <Area
          className="line-chart-band"
          data={[...band]}
          x={(at) => toX(at.x)}
          y0={(at) => toY(at.low)}
          y1={(at) => toY(at.high)}
        />
      )}
      <LinePath
        className="line-chart-line"
        data={[...line]}
        x={(at) => toX(at.x)}
        y={(at) => toY(at.y)}
        fill="none"
      />
      {points?.map((point) => (
        <circle
          key={`${point.x} ${point.y}`}
          className="line-chart-point"
          cx={toX(point.x)}
          cy={toY(point.y)}
          r="4.5"
        />
      ))}
    </>
  )
}

type GroundProps = {
  readonly x: Axis
  readonly y: Axis
  readonly toX: Scale
  readonly width: number
  readonly heightPx: number
}

function Ground({ x, y, toX, width, heightPx }: GroundProps) {
  const foot = heightPx - EDGE.bottom
  return (
    <g className="line-chart-ground">
      <line x1={EDGE.start} x2={width - EDGE.end} y1={foot} y2={foot} />
      <text x={EDGE.start} y="14">
        {heading(y)}
      </text>
      {placeTicks(x, toX, width).map(({ key, at, words, middle }) => (
        <g key={key}>
          <line x1={at} x2={at} y1={foot - 4} y2={foot + 4} />
          {middle !== null && (
            <text x={middle} y={foot + 21} textAnchor="middle">
              {words}
            </text>
          )}
        </g>
      ))}
    </g>
  )
}

function Levels({
  levels,
  toY,
  width,
}: {
  levels: NonNullable<LineChartProps['levels']>
  toY: Scale
  width: number
}) {
  return levels.map(({ at, words }) => (
    <g key={words} className="line-chart-level">
      <line x1={EDGE.start} x2={width - EDGE.end} y1={toY(at)} y2={toY(at)} />
      <text x={width - EDGE.end} y={toY(at) - 5} textAnchor="end">
        {words}
      </text>
    </g>
  ))
}

type MarkProps = {
  readonly mark: NonNullable<LineChartProps['mark']>
  readonly toX: Scale
  readonly toY: Scale
  readonly width: number
  readonly heightPx: number
}

function Mark({ mark, toX, toY, width, heightPx }: MarkProps) {
  const at = toX(mark.x)
  const before = at > width * 0.55
  return (
    <g className="line-chart-mark">
      <line x1={at} x2={at} y1={EDGE.top - 24} y2={heightPx - EDGE.bottom} />
      <circle cx={at} cy={toY(mark.y)} r="6" />
      <text x={before ? at - 10 : at + 10} y={EDGE.top - 12} textAnchor={before ? 'end' : 'start'}>
        {mark.words}
      </text>
    </g>
  )
}

function heading({ name, unit }: Axis): string {
  return unit ? `${name}, ${unit}` : name
}

function round(value: number): string {
  return String(Number(value.toPrecision(4)))
}

function spoken({ title, line, x, y, mark }: LineChartProps): string {
  const [first, last] = [line.at(0), line.at(-1)]
  const way =
    first && last
      ? ` ${y.name} goes from ${withUnit(round(first.y), y.unit)} at ${withUnit(round(first.x), x.unit)} to ${withUnit(round(last.y), y.unit)} at ${withUnit(round(last.x), x.unit)}.`
      : ' There are no figures yet.'
  return `${title}.${way}${mark ? ` ${mark.words}.` : ''}`
}
