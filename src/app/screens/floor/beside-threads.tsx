import { ChartFrame } from '../../parts/chart-frame.tsx'
import { useWidth } from '../../parts/use-width.ts'
import type { BesideColumn, BesideStop, GoesHomeAnswer } from '../../planning/messages.ts'
import './beside-threads.css'

type BesideThreadsProps = {
  readonly answer: GoesHomeAnswer
  /** Minutes of the shift that are drawn. */
  readonly from: number
  readonly until: number
  readonly clock: (minute: number) => string
}

const EDGE = { top: 44, start: 44, bottom: 12 }
const PX_PER_MINUTE = 0.72
const HOUR = 60

/** Two plans of everybody side by side: the one that holds and the other, the hours down. */
export function BesideThreads({ answer, from, until, clock }: BesideThreadsProps) {
  const [frame, width] = useWidth<HTMLDivElement>(640)
  const { columns } = answer
  const start = Math.floor(from / HOUR) * HOUR
  const hours = Array.from({ length: Math.floor((until - start) / HOUR) + 1 }, (_, i) => start + i * HOUR)
  const y = (minute: number) => EDGE.top + (minute - start) * PX_PER_MINUTE
  const height = y(until) + EDGE.bottom
  const step = (width - EDGE.start) / Math.max(1, columns.length)
  const title = `Left thread the plan now, right thread if ${answer.name} goes home at ${answer.at}`
  return (
    <ChartFrame
      title={title}
      rows={columns}
      keyOf={({ id }) => id}
      columns={[
        { name: 'Who', cell: ({ name }) => name },
        { name: 'Now', cell: ({ nowWords }) => nowWords },
        { name: 'Then', cell: ({ otherwiseWords }) => otherwiseWords },
      ]}
    >
      <div ref={frame} className="beside-threads">
        <svg
          width={width}
          height={height}
          viewBox={`0 0 ${width} ${height}`}
          role="img"
          aria-label={spoken(title, columns)}
        >
          {hours.map((minute) => (
            <g key={minute} className="beside-rule">
              <line x1={EDGE.start} x2={width} y1={y(minute)} y2={y(minute)} />
              <text x="0" y={y(minute) + 4}>
                {clock(minute)}
              </text>
            </g>
          ))}
          {columns.map((column, i) => {
            const middle = EDGE.start + step * (i + 0.5)
            return (
              <g key={column.id}>
                <text className="beside-name" x={middle} y="16" textAnchor="middle">
                  {step < 110 ? column.name.split(' ').at(-1) : column.name}
                </text>
                <Thread stops={column.now} x={middle - 12} y={y} label="now" anchor="end" />
                <Thread stops={column.otherwise} x={middle + 12} y={y} label="then" anchor="start" />
              </g>
            )
          })}
        </svg>
      </div>
      <ul className="beside-key">
        <li className="beside-key-stays">stays with the same person</li>
        <li className="beside-key-moved">with somebody else in the other plan</li>
        <li className="beside-key-late">late</li>
      </ul>
    </ChartFrame>
  )
}

const WIDE = 10

function Thread({
  stops,
  x,
  y,
  label,
  anchor,
}: {
  readonly stops: readonly BesideStop[]
  readonly x: number
  readonly y: (minute: number) => number
  readonly label: string
  /** Which side of its middle the word grows from: away from the other thread's. */
  readonly anchor: 'start' | 'end'
}) {
  return (
    <>
      <text className="beside-label" x={x + (anchor === 'end' ? 8 : -8)} y="34" textAnchor={anchor}>
        {label}
      </text>
      {stops.map((stop) => (
        <rect
          key={stop.id}
          className={classOf(stop)}
          x={x - WIDE / 2}
          width={WIDE}
          rx="3"
          y={y(stop.from)}
          height={Math.max(3, y(stop.until) - y(stop.from) - 1)}
        />
      ))}
    </>
  )
}

function classOf({ kind, state, isMoved }: BesideStop): string {
  if (kind === 'break') return 'beside-break'
  return ['beside-visit', isMoved && 'beside-moved', state === 'late' && 'beside-late']
    .filter(Boolean)
    .join(' ')
}

function spoken(title: string, columns: readonly BesideColumn[]): string {
  const each = columns.map(
    ({ name, nowWords, otherwiseWords }) => `${name}: now ${nowWords}; then ${otherwiseWords}`,
  )
  return `${title}. ${each.join('. ')}.`
}
