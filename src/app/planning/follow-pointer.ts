/** Where a pointer is, and how far from where it took hold [px]. */
export type PointerAt = { readonly x: number; readonly y: number; readonly dx: number; readonly dy: number }

/** What is done while something is held. Nothing of it may render: the finger does not wait. */
export type Held = {
  readonly onMove: (at: PointerAt) => void
  /** Let go of, or (`dropped` false) left as it was: Escape, or the system took the pointer away. */
  readonly onEnd: (dropped: boolean) => void
}

type Grip = EventTarget & { setPointerCapture(pointerId: number): void }
type Taken = { readonly pointerId: number; readonly clientX: number; readonly clientY: number }

/**
 * Follows the pointer that took hold of a grip until it lets go, is taken away, or Escape is pressed; then nothing
 * listens any more. `keys` is where keys are heard.
 */
export function followPointer(grip: Grip, taken: Taken, keys: EventTarget, { onMove, onEnd }: Held): void {
  grip.setPointerCapture(taken.pointerId)
  let moved = 0
  const end = (dropped: boolean) => {
    grip.removeEventListener('pointermove', move)
    grip.removeEventListener('pointerup', up)
    grip.removeEventListener('pointercancel', cancel)
    keys.removeEventListener('keydown', onKey)
    if (moved > STILL_PX) swallowClick(grip)
    onEnd(dropped)
  }
  const move = (event: Event) => {
    const { clientX, clientY } = event as PointerEvent
    const [dx, dy] = [clientX - taken.clientX, clientY - taken.clientY]
    moved = Math.max(moved, Math.abs(dx), Math.abs(dy))
    onMove({ x: clientX, y: clientY, dx, dy })
  }
  const up = () => end(true)
  const cancel = () => end(false)
  const onKey = (event: Event) => {
    if ((event as KeyboardEvent).key === 'Escape') end(false)
  }
  grip.addEventListener('pointermove', move)
  grip.addEventListener('pointerup', up)
  grip.addEventListener('pointercancel', cancel)
  keys.addEventListener('keydown', onKey)
}

/** A finger that rests still moves by so much [px]. */
const STILL_PX = 6

/** A browser makes a click of letting go, however far the way was: that one is not meant. */
function swallowClick(grip: EventTarget): void {
  const swallow = (event: Event) => event.stopPropagation()
  grip.addEventListener('click', swallow, { capture: true })
  setTimeout(() => grip.removeEventListener('click', swallow, { capture: true }), 0)
}
