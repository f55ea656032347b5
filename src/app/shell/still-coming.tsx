import { useEffect, useState } from 'react'
import { useWaiting } from '../local/hooks.ts'
import { Strip } from '../parts/strip.tsx'
import { stillComingWords } from './waiting-words.ts'

/** Somebody who was admitted just now is here in a moment, and nothing on the screen is to jump for that. Design rule. */
const MOMENT_MS = 2000

/**
 * Says so while not everybody whom the shift concerns is on this tablet: what is listed, counted and planned is of those
 * who are.
 */
export function StillComing() {
  const { lacking, line } = useWaiting()
  const isComing = lacking !== 0
  const [isSaid, setSaid] = useState(isComing)
  useEffect(() => {
    if (!isComing) return setSaid(false)
    const timer = setTimeout(() => setSaid(true), MOMENT_MS)
    return () => clearTimeout(timer)
  }, [isComing])
  if (!isComing || !isSaid) return null
  return (
    <Strip kind="caution" word="Not everybody is here yet.">
      {stillComingWords(lacking, line)}
    </Strip>
  )
}
