import { type RefObject, startTransition, useEffect, useState } from 'react'

/** So long after the last change what is out of sight follows. */
const RESTED_MS = 150

/**
 * A value that follows a little behind, drawn after everything that moves with the hand: at the next chance where it
 * is in sight, and once the hand rests where it is not.
 */
export function useFollowing<Value>(value: Value, inSight: boolean): Value {
  const [followed, setFollowed] = useState(value)
  useEffect(() => {
    const follow = () => startTransition(() => setFollowed(() => value))
    const timer = setTimeout(follow, inSight ? 0 : RESTED_MS)
    return () => clearTimeout(timer)
  }, [value, inSight])
  return followed
}

/** Whether any of an element is on the screen. */
export function useInSight(place: RefObject<Element | null>): boolean {
  const [inSight, setInSight] = useState(false)
  useEffect(() => {
    const element = place.current
    if (!element) return
    const watch = new IntersectionObserver((entries) => setInSight(entries.at(-1)?.isIntersecting ?? false))
    watch.observe(element)
    return () => watch.disconnect()
  }, [place])
  return inSight
}
