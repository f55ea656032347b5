import { memo } from 'react'
import { Button } from '../../parts/button.tsx'
import { WindowMark } from '../../parts/window-mark.tsx'
import type { StopPicture } from '../../planning/stop-picture.ts'
import { DoseCautions } from './dose-cautions.tsx'

export type StopActs = {
  /** Goes into the visit. */
  readonly onVisit: (id: string) => void
  /** Opens why it is then, and what else could be done with it. */
  readonly onAsk: (id: string) => void
  /** A finger or pointer took hold of the knot. */
  readonly onHold: (id: string, event: React.PointerEvent<HTMLElement>) => void
}

/** One knot of the thread: when, where, who, what, and how its window and its chance stand. */
export const StopRow = memo(function StopRow({
  stop,
  acts,
  held,
}: {
  readonly stop: StopPicture
  readonly acts: StopActs
  readonly held: boolean
}) {
  const shape = stop.kind === 'break' ? 'break' : stop.state.replace(' ', '-')
  const id = stop.id
  return (
    <li
      className={`stop stop-${shape}${held ? ' stop-held' : ''}`}
      data-stop={id}
      data-movable={stop.movable}
      style={{ '--walk': `${wayRem(stop)}rem` } as React.CSSProperties}
    >
      <p className="stop-way">{stop.wayWords}</p>
      {stop.kind === 'visit' ? (
        <button
          type="button"
          className="stop-time stop-time-ask"
          onClick={() => acts.onAsk(id)}
          aria-label={`Why ${stop.at}? ${stop.place}, ${stop.who}${stop.pinned ? ', pinned' : ''}`}
        >
          {stop.at}
          {stop.pinned && <span className="stop-pinned">pinned</span>}
        </button>
      ) : (
        <span className="stop-time">{stop.at}</span>
      )}
      {stop.movable ? (
        <span className="stop-mark" aria-hidden="true" onPointerDown={(event) => acts.onHold(id, event)} />
      ) : (
        <span className="stop-mark stop-mark-still" aria-hidden="true" />
      )}
      <div className="stop-who">
        <p className="strong">{stop.place}</p>
        <p className="quiet">{stop.who}</p>
      </div>
      <div className="stop-what">
        <p>{stop.what}</p>
        <p className="quiet">{stop.how}</p>
        {stop.dose && <DoseCautions orderId={stop.dose.orderId} doseAt={stop.dose.doseAt} />}
      </div>
      {stop.window === null ? (
        <p className="stop-words quiet">{stop.words}</p>
      ) : (
        <WindowMark {...stop.window} state={stop.state} words={stop.words} spoken={stop.spoken} />
      )}
      {stop.kind === 'visit' && (
        <Button
          gloved
          tone={stop.isNext ? 'primary' : 'plain'}
          onPress={() => acts.onVisit(id)}
          aria-label={`Visit ${stop.place}, ${stop.who}, ${stop.what}, ${stop.spoken}`}
        >
          {stop.begun ? 'Go on' : 'Visit'}
        </Button>
      )}
    </li>
  )
})

const REM_PER_MINUTE = 0.32
const LONGEST_REM = 4.5

/** The way to a stop, drawn to scale: the more minutes on foot, the longer the thread. */
function wayRem({ walkMinutes }: StopPicture): number {
  return 1.25 + Math.min(LONGEST_REM, walkMinutes * REM_PER_MINUTE)
}
