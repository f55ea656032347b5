import { useEffect, useState } from 'react'
import type { CarryList } from '../../../shift/index.ts'
import type { RoundPicture } from '../../planning/plan-picture.ts'
import { usePlanner } from '../../planning/use-planner.ts'

/** What the rest of a round asks for, counted anew whenever its visits change; null until it has been. */
export function useCarry({ personId, stops }: RoundPicture): CarryList | null {
  const planner = usePlanner()
  const [list, setList] = useState<CarryList | null>(null)
  const key = stops.map(({ id, begun }) => `${id}${begun ? ' begun' : ''}`).join()
  // biome-ignore lint/correctness/useExhaustiveDependencies: the same visits ask for the same things
  useEffect(() => {
    let isWanted = true
    void planner.ask({ what: 'carry', therapist: personId }).then((answer) => {
      if (isWanted && answer.ok) setList(answer.value)
    })
    return () => {
      isWanted = false
    }
  }, [planner, personId, key])
  return list
}
