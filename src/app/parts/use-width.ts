import { type RefObject, useEffect, useRef, useState } from 'react'

/** The width of an element as it changes [px]; `start` until it has been measured. */
export function useWidth<E extends HTMLElement>(start: number): [RefObject<E | null>, number] {
  const ref = useRef<E>(null)
  const [width, setWidth] = useState(start)
  useEffect(() => {
    const element = ref.current
    if (!element) return
    const watch = new ResizeObserver(([entry]) => {
      const next = Math.round(entry?.contentRect.width ?? 0)
      if (next > 0) setWidth(next)
    })
    watch.observe(element)
    return () => watch.disconnect()
  }, [])
  return [ref, width]
}
