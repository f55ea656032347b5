import { useMemo, useRef } from 'react'
import type { StopPicture } from '../../planning/stop-picture.ts'
import { StopRow } from './stop-row.tsx'
import { type Drop, useThreadDrag } from './use-thread-drag.ts'
import './thread.css'

type ThreadProps = {
  readonly stops: readonly StopPicture[]
  /** What stands at the end of the thread: "back at the base at 18:52". */
  readonly endWords: string
  readonly onVisit: (id: string) => void
  readonly onAsk: (id: string) => void
  readonly onDrop: (drop: Drop) => void
}

/**
 * The rest of the shift as one thread. The distance between two knots is the walk between them; a knot can be taken
 * hold of and let go elsewhere. Whoever cannot drag finds the same under "Why then?".
 */
export function Thread({ stops, endWords, onVisit, onAsk, onDrop }: ThreadProps) {
  const list = useRef<HTMLOListElement>(null)
  const { heldId, onHold } = useThreadDrag(list, onDrop)
  const acts = useMemo(() => ({ onVisit, onAsk, onHold }), [onVisit, onAsk, onHold])
  return (
    <ol className={heldId === null ? 'round-thread' : 'round-thread round-thread-held'} ref={list}>
      {stops.map((stop) => (
        <StopRow key={stop.id} stop={stop} acts={acts} held={stop.id === heldId} />
      ))}
      <li className="stop-end">
        <span className="stop-end-mark" aria-hidden="true" />
        <p className="quiet">{endWords}</p>
      </li>
    </ol>
  )
}
