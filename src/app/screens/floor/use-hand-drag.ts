import { type PointerEvent, type RefObject, useCallback, useRef, useState } from 'react'

type Column = { readonly id: string; readonly left: number; readonly right: number }

/**
 * Dragging a visit from one therapist's column to another's. Nothing renders while the finger moves: the visit follows
 * by style alone, and the column under it is marked by an attribute. Escape leaves everything as it is.
 */
export function useHandDrag(
  floor: RefObject<HTMLElement | null>,
  onHand: (visit: string, therapist: string) => void,
): {
  readonly heldId: string | null
  readonly onHold: (visit: string, therapist: string, event: PointerEvent<HTMLElement>) => void
} {
  const holding = useRef(false)
  const [heldId, setHeldId] = useState<string | null>(null)
  const onHold = useCallback(
    (visit: string, therapist: string, event: PointerEvent<HTMLElement>) => {
      const field = floor.current
      if (!field || holding.current || event.button !== 0) return
      event.preventDefault()
      const grip = event.currentTarget
      grip.setPointerCapture(event.pointerId)
      holding.current = true
      setHeldId(visit)
      const columns = columnsOf(field)
      const start = { x: event.clientX, y: event.clientY }
      let over: string | null = therapist

      const end = (dropped: boolean) => {
        grip.removeEventListener('pointermove', move)
        grip.removeEventListener('pointerup', up)
        grip.removeEventListener('pointercancel', cancel)
        window.removeEventListener('keydown', onEscape)
        field.style.removeProperty('--held-x')
        field.style.removeProperty('--held-y')
        mark(field, null)
        holding.current = false
        setHeldId(null)
        if (dropped && over !== null && over !== therapist) onHand(visit, over)
      }
      const move = (next: globalThis.PointerEvent) => {
        field.style.setProperty('--held-x', `${next.clientX - start.x}px`)
        field.style.setProperty('--held-y', `${next.clientY - start.y}px`)
        over = columns.find(({ left, right }) => next.clientX >= left && next.clientX < right)?.id ?? null
        mark(field, over)
      }
      const up = () => end(true)
      const cancel = () => end(false)
      const onEscape = (key: KeyboardEvent) => {
        if (key.key === 'Escape') end(false)
      }
      grip.addEventListener('pointermove', move)
      grip.addEventListener('pointerup', up)
      grip.addEventListener('pointercancel', cancel)
      window.addEventListener('keydown', onEscape)
    },
    [floor, onHand],
  )
  return { heldId, onHold }
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
