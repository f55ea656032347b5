import { useEffect } from 'react'
import { Button } from '../parts/button.tsx'
import { Progress } from '../parts/progress.tsx'
import { Strip } from '../parts/strip.tsx'
import type { PlanPicture } from './plan-picture.ts'
import { type LongAsking, useLongAsk } from './use-long-ask.ts'

/** What cannot be done is said before what can: what is given up, where it is too much, and the smallest help for it. */
export function TooMuch({ picture }: { readonly picture: PlanPicture }) {
  const { givenUp, overloads, columns } = picture
  const help = useLongAsk('help')
  const { start } = help
  const isShort = givenUp.length > 0 || overloads.length > 0
  const key = givenUp.join()
  useEffect(() => {
    if (key !== '') start()
  }, [key, start])
  if (!isShort) return columns.some(({ late }) => late > 0) ? <Fix help={help} /> : null
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
        <Button tone="quiet" onPress={start}>
          What would put it right?
        </Button>
      )}
    </div>
  )
}
