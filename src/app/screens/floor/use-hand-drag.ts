import { type PointerEvent, type RefObject, useCallback, useRef, useState } from 'react'
import { followPointer } from '../../planning/follow-pointer.ts'

type Column = { readonly id: string; readonly left: number; readonly right: number }

/** What is dragged from a column: one visit, or everything that the therapist still has to do. */
export type Load = { readonly visit: string } | { readonly all: true }

/**
 * Dragging from one therapist's column to another's. Nothing renders while the finger moves: what is held follows by
 * style alone, and the column under it is marked by an attribute. Escape leaves everything as it is.
 */
export function useHandDrag(
  floor: RefObject<HTMLElement | null>,
  onHand: (load: Load, from: string, to: string) => void,
): {
  /** The visit that is held, or the therapist all of whose visits are; null when nothing is. */
  readonly heldId: string | null
  readonly onHold: (load: Load, therapist: string, event: PointerEvent<HTMLElement>) => void
} {
  const holding = useRef(false)
  const [heldId, setHeldId] = useState<string | null>(null)
  const onHold = useCallback(
    (load: Load, therapist: string, event: PointerEvent<HTMLElement>) => {
      const field = floor.current
      if (!field || holding.current || event.button !== 0) return
      event.preventDefault()
      holding.current = true
      setHeldId('visit' in load ? load.visit : therapist)
      const columns = columnsOf(field)
      let over: string | null = therapist
      followPointer(event.currentTarget, event, window, {
        onMove: ({ x, dx, dy }) => {
          field.style.setProperty('--held-x', `${dx}px`)
          field.style.setProperty('--held-y', `${dy}px`)
          over = columnAt(columns, x)
          mark(field, over)
        },
        onEnd: (dropped) => {
          field.style.removeProperty('--held-x')
          field.style.removeProperty('--held-y')
          mark(field, null)
          holding.current = false
          setHeldId(null)
          if (dropped && over !== null && over !== therapist) onHand(load, therapist, over)
        },
      })
    },
    [floor, onHand],
  )
  return { heldId, onHold }
}

/** The column that lies under a pointer; null beside all of them. */
export function columnAt(columns: readonly Column[], x: number): string | null {
  return columns.find(({ left, right }) => x >= left && x < right)?.id ?? null
}

function columnsOf(field: HTMLElement): Column[] {
  return [...field.querySelectorAll<HTMLElement>('[data-column]')].map((column) => {
    const { left, right } = column.getBoundingClientRect()
    return { id: column.dataset.column ?? '', left, right }
  })
}

function mark(field: HTMLElement, over: string | null): void {
  for (const column of field.querySelectorAll<HTMLElement>('[data-column]'))
    column.toggleAttribute('data-over', column.dataset.column === over)
}
