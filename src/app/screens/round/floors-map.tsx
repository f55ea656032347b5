import { useMemo } from 'react'
import { ChartFrame } from '../../parts/chart-frame.tsx'
import { useWidth } from '../../parts/use-width.ts'
import { type MapStop, type MapUnit, mapLayout, type PlacedUnit } from './map-layout.ts'
import './floors-map.css'

type FloorsMapProps = {
  readonly units: readonly MapUnit[]
  readonly stops: readonly MapStop[]
  /** Where the way begins. */
  readonly from: string
}

/** Legs that are drawn in full ink: where one goes next. The rest of the way is paler. */
const NEXT_LEGS = 3

/** The way through the building, floor above floor, with the stops numbered in order. */
export function FloorsMap({ units, stops, from }: FloorsMapProps) {
  const [frame, width] = useWidth<HTMLDivElement>(760)
  const layout = useMemo(() => mapLayout(units, stops, from, width), [units, stops, from, width])
  const names = new Map(units.map(({ id, name }) => [id, name]))
  const nameOf = (id: string) => names.get(id) ?? id
  return (
    <ChartFrame
      title="The way through the building"
      titleUnseen
      rows={stops}
      keyOf={(stop) => stop.id}
      columns={[
        { name: 'Stop', cell: (stop) => stops.indexOf(stop) + 1, figures: true },
        { name: 'Time', cell: (stop) => stop.at },
        { name: 'Place', cell: (stop) => stop.place, heads: true },
        { name: 'Unit', cell: (stop) => nameOf(stop.unit) },
      ]}
    >
      <div ref={frame} className="floors-map">
        <svg
          width={width}
          height={layout.height}
          viewBox={`0 0 ${width} ${layout.height}`}
          role="img"
          aria-label={spoken(stops, nameOf)}
        >
          {layout.floors.map(({ floor, y }) => (
            <g key={floor} className="floors-map-floor">
              <line x1="0" x2={width} y1={y + 34} y2={y + 34} />
              <text x="0" y={y + 26}>
                Floor {floor}
              </text>
            </g>
          ))}
          {layout.legs.toReversed().map(({ key, path, order }) => (
            <path key={key} className={order < NEXT_LEGS ? 'floors-map-next' : 'floors-map-leg'} d={path} />
          ))}
          {layout.units.map((unit) => (
            <Unit key={unit.id} unit={unit} isHere={unit.id === from} />
          ))}
        </svg>
      </div>
    </ChartFrame>
  )
}

function Unit({ unit, isHere }: { readonly unit: PlacedUnit; readonly isHere: boolean }) {
  const { short, x, y, stops } = unit
  const shown = stops.length > 4 ? `${stops.slice(0, 3).join(' ')} … ${stops.at(-1)}` : stops.join(' ')
  return (
    <g className={stops.length > 0 || isHere ? 'floors-map-unit' : 'floors-map-unit floors-map-unit-quiet'}>
      <circle cx={x} cy={y} r={isHere ? 9 : 6} className={isHere ? 'floors-map-here' : undefined} />
      <text x={x} y={y + 26} textAnchor="middle">
        {short}
      </text>
      {shown && (
        <text x={x + 12} y={y - 8} className="floors-map-order">
          {shown}
        </text>
      )}
    </g>
  )
}

function spoken(stops: readonly MapStop[], nameOf: (id: string) => string): string {
  const way = stops.map(({ unit }) => unit).filter((id, index, all) => id !== all[index - 1])
  if (way.length === 0) return 'The way through the building: nothing left to walk to.'
  return `The way through the building, ${stops.length} stops: ${way.map(nameOf).join(', then ')}.`
}
