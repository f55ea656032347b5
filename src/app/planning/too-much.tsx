import { useEffect } from 'react'
import { Button } from '../parts/button.tsx'
import { Progress } from '../parts/progress.tsx'
import { Strip } from '../parts/strip.tsx'
import type { PlanPicture } from './plan-picture.ts'
import { type LongAsking, useLongAsk } from './use-long-ask.ts'

/** What cannot be done is said before what can: what is given up, where it is too much, and the smallest help for it. */
export function TooMuch({ picture }: { readonly picture: PlanPicture }) {
  const { givenUp, overloads } = picture
  const help = useLongAsk('help')
  const { start, clear } = help
  const key = givenUp.join()
  useEffect(() => {
    if (key === '') clear()
    else start()
  }, [key, start, clear])
  if (givenUp.length === 0 && overloads.length === 0) return null
  return (
    <Strip
      kind={givenUp.length > 0 ? 'halt' : 'caution'}
      word={overloads.length > 0 ? 'Too much for the hands on duty' : 'Not everything can be reached'}
    >
      {givenUp.length > 0 && (
        <>
          <p>Cannot be reached, the most urgent first:</p>
          <ul>
            {givenUp.map((words) => (
              <li key={words}>{words}</li>
            ))}
          </ul>
        </>
      )}
      {overloads.map((words) => (
        <p key={words}>{words}</p>
      ))}
      <Fix help={help} />
    </Strip>
  )
}

/** Where everything can be reached but something is late: the help for it, looked for when somebody asks. */
export function LateHelp({ picture }: { readonly picture: PlanPicture }) {
  const { givenUp, overloads, columns } = picture
  const help = useLongAsk('help')
  const { clear } = help
  const isLate = columns.some(({ late }) => late > 0) && givenUp.length === 0 && overloads.length === 0
  useEffect(() => {
    if (!isLate) clear()
  }, [isLate, clear])
  return isLate ? <Fix help={help} /> : null
}

/** The help that would put it right: asked for, looked for, or found. */
function Fix({ help: { answer, share, start, stop } }: { readonly help: LongAsking<'help'> }) {
  if (share !== null)
    return <Progress label="Looking for the smallest help that would do" done={share} onStop={stop} />
  const said = answer === null ? [] : answer.ok ? answer.value.sentences : [answer.what, answer.todo]
  return (
    <div className="no-print" aria-live="polite">
      {said.map((words) => (
        <p key={words} className="strong">
          {words}
        </p>
      ))}
      {!answer?.ok && (
        <Button tone="quiet" flush="start" onPress={start}>
          What would put it right?
        </Button>
      )}
    </div>
  )
}
