import { type PointerEvent, type RefObject, useCallback, useRef, useState } from 'react'
import { followPointer } from '../../planning/follow-pointer.ts'

export type Row = {
  readonly id: string
  readonly top: number
  readonly bottom: number
  readonly movable: boolean
}
type Hold = { readonly id: string; slot: number }

export type Drop = {
  readonly id: string
  /** The stop that it was let go in front of; null at the end of the thread. */
  readonly before: string | null
}

/**
 * Dragging a knot along the thread. Nothing renders while the finger moves: the row and the line that shows where it
 * would go are moved by style alone. Escape, or letting go where it was, leaves everything as it is.
 */
export function useThreadDrag(
  thread: RefObject<HTMLElement | null>,
  onDrop: (drop: Drop) => void,
): {
  readonly heldId: string | null
  readonly onHold: (id: string, event: PointerEvent<HTMLElement>) => void
} {
  const hold = useRef<Hold | null>(null)
  const [heldId, setHeldId] = useState<string | null>(null)

  const onHold = useCallback(
    (id: string, event: PointerEvent<HTMLElement>) => {
      const list = thread.current
      if (!list || hold.current || event.button !== 0) return
      event.preventDefault()
      const rows = rowsOf(list)
      const now: Hold = { id, slot: rows.findIndex((row) => row.id === id) }
      const from = now.slot
      hold.current = now
      setHeldId(id)
      followPointer(event.currentTarget, event, window, {
        onMove: ({ y, dy }) => {
          list.style.setProperty('--held-by', `${dy}px`)
          now.slot = slotAt(rows, y)
          const at = rows[now.slot]?.top ?? rows.at(-1)?.bottom ?? 0
          list.style.setProperty('--slot-at', `${at - list.getBoundingClientRect().top}px`)
        },
        onEnd: (dropped) => {
          list.style.removeProperty('--held-by')
          list.style.removeProperty('--slot-at')
          hold.current = null
          setHeldId(null)
          if (!dropped || now.slot === from || now.slot === from + 1) return
          onDrop({ id, before: rows[now.slot]?.id ?? null })
        },
      })
    },
    [thread, onDrop],
  )
  return { heldId, onHold }
}

function rowsOf(list: HTMLElement): Row[] {
  return [...list.querySelectorAll<HTMLElement>('[data-stop]')].map((row) => {
    const { top, bottom } = row.getBoundingClientRect()
    return { id: row.dataset.stop ?? '', top, bottom, movable: row.dataset.movable === 'true' }
  })
}

/** The row that something let go at this height would stand in front of; rows that may not move stay in front. */
export function slotAt(rows: readonly Row[], y: number): number {
  const slot = rows.findIndex((row) => y < (row.top + row.bottom) / 2)
  const wanted = slot === -1 ? rows.length : slot
  const firstFree = rows.findIndex((row) => row.movable)
  return firstFree === -1 ? wanted : Math.max(wanted, firstFree)
}
