import { useCallback, useEffect, useRef, useState } from 'react'
import type { Answer, LongAsk } from './messages.ts'
import { usePlanner } from './use-planner.ts'

/** A question that takes seconds, as a screen holds it. */
export type LongAsking<What extends LongAsk['what']> = {
  /** Null before it is asked, and while it is worked on. */
  readonly answer: Answer<What> | null
  /** Share of the work done, 0 to 1; null while nothing is worked on. */
  readonly share: number | null
  readonly start: () => void
  readonly stop: () => void
  /** Forgets the answer, where what it was about is over. */
  readonly clear: () => void
}

/** Asks, shows how far the work has come, and stops it on request, or when the screen is left. */
export function useLongAsk<What extends LongAsk['what']>(what: What): LongAsking<What> {
  const planner = usePlanner()
  const [answer, setAnswer] = useState<Answer<What> | null>(null)
  const [share, setShare] = useState<number | null>(null)
  const work = useRef<{ readonly stop: () => void } | null>(null)
  const stop = useCallback(() => work.current?.stop(), [])
  const start = useCallback(() => {
    work.current?.stop()
    setAnswer(null)
    setShare(0)
    const begun = planner.work({ what } as Extract<LongAsk, { what: What }>, (done) => {
      if (work.current === begun) setShare(done)
    })
    work.current = begun
    void begun.answer.then((said) => {
      if (work.current !== begun) return
      work.current = null
      setShare(null)
      setAnswer(said as Answer<What>)
    })
  }, [planner, what])
  useEffect(() => stop, [stop])
  const clear = useCallback(() => {
    work.current?.stop()
    work.current = null
    setShare(null)
    setAnswer(null)
  }, [])
  return { answer, share, start, stop, clear }
}
