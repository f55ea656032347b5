import { ChartFrame } from '../../parts/chart-frame.tsx'
import { useWidth } from '../../parts/use-width.ts'
import type { PeopleHour } from '../../planning/plan-picture.ts'
import './people-curve.css'

type PeopleCurveProps = {
  readonly title: string
  readonly hours: readonly PeopleHour[]
  /** What the filled columns and the line of the other plan are called. */
  readonly busyWords?: string
  readonly otherWords?: string
}

const EDGE = { top: 30, end: 8, bottom: 30, start: 30 }
const HEIGHT = 210

/** Hands by the hour: columns for the work, a stair for who is there, a broken stair for the least that would do. */
export function PeopleCurve({ title, hours, busyWords = 'at work', otherWords }: PeopleCurveProps) {
  const [frame, width] = useWidth<HTMLDivElement>(640)
  const most = Math.max(1, ...hours.flatMap((hour) => [hour.busy, hour.present, hour.atLeast ?? 0]))
  const top = Math.ceil(most + 0.2)
  const counts = Array.from({ length: top + 1 }, (_, people) => people)
  const step = (width - EDGE.start - EDGE.end) / Math.max(1, hours.length)
  const x = (index: number) => EDGE.start + index * step
  const y = (people: number) => HEIGHT - EDGE.bottom - (people / top) * (HEIGHT - EDGE.bottom - EDGE.top)
  const stair = (value: (hour: PeopleHour) => number) =>
    hours.map((hour, i) => `${i === 0 ? 'M' : 'L'}${x(i)} ${y(value(hour))}H${x(i + 1)}`).join('')
  const known = hours.some(({ atLeast }) => atLeast !== null)
  return (
    <ChartFrame
      title={title}
      rows={hours}
      keyOf={(hour) => hour.from}
      columns={[
        { name: 'Hour from', cell: (hour) => hour.from },
        { name: 'At work', cell: (hour) => hour.busy.toFixed(1), figures: true },
        { name: 'There', cell: (hour) => hour.present.toFixed(1), figures: true },
        ...(known
          ? [{ name: 'At least', cell: (hour: PeopleHour) => String(hour.atLeast ?? ''), figures: true }]
          : []),
        ...(otherWords
          ? [
              {
                name: otherWords,
                cell: (hour: PeopleHour) => (hour.otherBusy ?? 0).toFixed(1),
                figures: true,
              },
            ]
          : []),
      ]}
    >
      <div ref={frame} className="people-curve">
        <svg
          width={width}
          height={HEIGHT}
          viewBox={`0 0 ${width} ${HEIGHT}`}
          role="img"
          aria-label={spoken(title, hours)}
        >
          {counts.map((people) => (
            <g key={people} className="people-curve-rule">
              <line x1={EDGE.start} x2={width - EDGE.end} y1={y(people)} y2={y(people)} />
              <text x={EDGE.start - 8} y={y(people) + 4} textAnchor="end">
                {people}
              </text>
            </g>
          ))}
          {hours.map((hour, i) => (
            <rect
              key={hour.from}
              className={
                hour.busy > hour.present * 0.9 ? 'people-curve-busy people-curve-full' : 'people-curve-busy'
              }
              x={x(i) + 2}
              width={Math.max(1, step - 4)}
              y={y(hour.busy)}
              height={Math.max(0, y(0) - y(hour.busy))}
            />
          ))}
          {otherWords && <path className="people-curve-other" d={stair((hour) => hour.otherBusy ?? 0)} />}
          <path className="people-curve-there" d={stair((hour) => hour.present)} />
          {known && <path className="people-curve-least" d={stair((hour) => hour.atLeast ?? 0)} />}
          {hours.map((hour, i) =>
            i % Math.ceil(44 / step) === 0 ? (
              <text
                key={hour.from}
                className="people-curve-hour"
                x={x(i)}
                y={HEIGHT - 10}
                textAnchor="middle"
              >
                {hour.from}
              </text>
            ) : null,
          )}
        </svg>
      </div>
      <ul className="people-curve-key">
        <li className="people-curve-key-busy">{busyWords}</li>
        <li className="people-curve-key-there">there</li>
        {known && <li className="people-curve-key-least">the least that could do it</li>}
        {otherWords && <li className="people-curve-key-other">{otherWords}</li>}
      </ul>
    </ChartFrame>
  )
}

function spoken(title: string, hours: readonly PeopleHour[]): string {
  const fullest = hours.reduce<PeopleHour | null>((a, b) => (a === null || b.busy > a.busy ? b : a), null)
  if (fullest === null) return `${title}. No hours.`
  return `${title}. The fullest hour begins at ${fullest.from}: ${fullest.busy.toFixed(1)} at work of ${fullest.present.toFixed(1)}.`
}
