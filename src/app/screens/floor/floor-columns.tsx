import { memo, useMemo, useRef } from 'react'
import type { ColumnPicture, FloorStop } from '../../planning/column-picture.ts'
import { HourLoad } from './hour-load.tsx'
import { type Load, useHandDrag } from './use-hand-drag.ts'
import './floor-columns.css'

type FloorColumnsProps = {
  readonly columns: readonly ColumnPicture[]
  /** Minutes of the shift that are drawn, and the minute it is now. */
  readonly from: number
  readonly until: number
  readonly now: number
  /** A minute of the shift as the hospital's clock shows it. */
  readonly clock: (minute: number) => string
  readonly onAsk: (visit: string) => void
  readonly onHand: (load: Load, from: string, to: string) => void
  /** Opens the way to hand everything of somebody over without dragging. */
  readonly onHandAll: (therapist: string) => void
}

const PX_PER_MINUTE = 2
const HOUR = 60

/** Everybody's thread side by side, the hours down. Length is time at the bedside; a red diamond is late. */
export function FloorColumns({
  columns,
  from,
  until,
  now,
  clock,
  onAsk,
  onHand,
  onHandAll,
}: FloorColumnsProps) {
  const field = useRef<HTMLElement>(null)
  const { heldId, onHold } = useHandDrag(field, onHand)
  const acts = useMemo(() => ({ onAsk, onHold, onHandAll }), [onAsk, onHold, onHandAll])
  const start = Math.floor(from / HOUR) * HOUR
  const hours = Array.from({ length: Math.ceil((until - start) / HOUR) + 1 }, (_, i) => start + i * HOUR)
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard (WCAG 2.1.1)
    <section className="floor-field" aria-label="Therapists across, hours down" ref={field} tabIndex={0}>
      <div
        className="floor-grid"
        style={
          {
            '--columns': columns.length,
            '--tall': `${(until - start) * PX_PER_MINUTE}px`,
          } as React.CSSProperties
        }
      >
        <div className="floor-hours" aria-hidden="true">
          {hours.map((minute) => (
            <span key={minute} style={{ insetBlockStart: (minute - start) * PX_PER_MINUTE }}>
              {clock(minute)}
            </span>
          ))}
        </div>
        {now >= start && now <= until && (
          <div
            className="floor-now"
            style={{ insetBlockStart: `calc(var(--head) + ${(now - start) * PX_PER_MINUTE}px)` }}
            aria-hidden="true"
          />
        )}
        {columns.map((column) => (
          <Column
            key={column.id}
            column={column}
            start={start}
            heldId={column.id === heldId || column.stops.some(({ id }) => id === heldId) ? heldId : null}
            acts={acts}
          />
        ))}
      </div>
    </section>
  )
}

type Acts = {
  readonly onAsk: (visit: string) => void
  readonly onHold: (load: Load, therapist: string, event: React.PointerEvent<HTMLElement>) => void
  readonly onHandAll: (therapist: string) => void
}

const Column = memo(function Column({
  column,
  start,
  heldId,
  acts,
}: {
  readonly column: ColumnPicture
  readonly start: number
  readonly heldId: string | null
  readonly acts: Acts
}) {
  const from = Math.max(column.from, start)
  return (
    <section
      className={column.id === heldId ? 'floor-column floor-column-held' : 'floor-column'}
      data-column={column.id}
      aria-label={`${column.name}: ${column.words}`}
    >
      <header className="floor-column-head">
        <h3>{column.name}</h3>
        <p className={column.late > 0 ? 'floor-column-late' : undefined}>{column.words}</p>
        <HourLoad hours={column.hours} name={column.name} words={column.loadWords} />
        {column.stops.some(({ kind, movable }) => kind === 'visit' && movable) && (
          <button
            type="button"
            className="floor-hand-all"
            aria-label={`Hand over all of ${column.name}`}
            onClick={() => acts.onHandAll(column.id)}
            onPointerDown={(event) => acts.onHold({ all: true }, column.id, event)}
          >
            Hand over
            <svg viewBox="0 0 20 20" aria-hidden="true">
              <path d="M3 6h14M3 10h14M3 14h8m2 0h4m-3-3 3 3-3 3" />
            </svg>
          </button>
        )}
      </header>
      <ol
        className="floor-thread"
        style={
          {
            '--from': `${(from - start) * PX_PER_MINUTE}px`,
            '--for': `${Math.max(0, column.until - from) * PX_PER_MINUTE}px`,
          } as React.CSSProperties
        }
      >
        {column.stops.map((stop) => (
          <Stop
            key={stop.id}
            stop={stop}
            therapist={column.id}
            top={(stop.from - start) * PX_PER_MINUTE}
            held={stop.id === heldId}
            acts={acts}
          />
        ))}
      </ol>
    </section>
  )
})

const Stop = memo(function Stop({
  stop,
  therapist,
  top,
  held,
  acts,
}: {
  readonly stop: FloorStop
  readonly therapist: string
  readonly top: number
  readonly held: boolean
  readonly acts: Acts
}) {
  const shape = stop.kind === 'break' ? 'break' : stop.state.replace(' ', '-')
  const style = { insetBlockStart: top, blockSize: (stop.until - stop.from) * PX_PER_MINUTE }
  return (
    <li className={`floor-stop floor-stop-${shape}${held ? ' floor-stop-held' : ''}`} style={style}>
      <span
        className={stop.movable ? 'floor-grip' : 'floor-grip floor-grip-still'}
        aria-hidden="true"
        {...(stop.movable && {
          onPointerDown: (event: React.PointerEvent<HTMLElement>) =>
            acts.onHold({ visit: stop.id }, therapist, event),
        })}
      />
      {stop.kind === 'break' ? (
        <span className="floor-label">Break</span>
      ) : (
        <button
          type="button"
          className="floor-label"
          aria-label={stop.spoken}
          onClick={() => acts.onAsk(stop.id)}
        >
          <span>
            {stop.pinned && <span className="floor-pin">pinned </span>}
            {stop.label}
          </span>
          {stop.remark && <strong>{stop.remark}</strong>}
        </button>
      )}
    </li>
  )
})
