import { startTransition, useCallback, useMemo, useRef, useState } from 'react'
import { Button } from '../parts/button.tsx'
import { Progress } from '../parts/progress.tsx'
import { Sheet } from '../parts/sheet.tsx'
import { ChangeList } from './change-list.tsx'
import type { Answer, Ask, Trial } from './messages.ts'
import { useIssue, usePlanner, useWhyNoIssue } from './use-planner.ts'

type TrialAsk = Extract<Ask, { what: 'try' | 'try before' | 'hand all' | 'afresh' }>

/** A change of the plan that somebody tries: asked, answered, and taken or left. */
export type Trying = {
  readonly answer: Answer<'try'> | 'working' | null
  /** How far the work has come, 0 to 1; null while that cannot be said. */
  readonly share: number | null
  readonly start: (ask: TrialAsk) => Promise<void>
  readonly stop: () => void
  readonly close: () => void
}

export function useTrial(): Trying {
  const planner = usePlanner()
  const [answer, setAnswer] = useState<Trying['answer']>(null)
  const [share, setShare] = useState<number | null>(null)
  const work = useRef<{ readonly stop: () => void } | null>(null)
  const start = useCallback(
    async (ask: TrialAsk) => {
      // Drawn a little at a time: the finger that let go is answered first, and what it let go of.
      startTransition(() => {
        setAnswer('working')
        setShare(null)
      })
      const begun = planner.work(ask, setShare)
      work.current = begun
      const said = (await begun.answer) as Answer<'try'>
      if (work.current === begun) startTransition(() => setAnswer(said))
    },
    [planner],
  )
  const stop = useCallback(() => work.current?.stop(), [])
  const close = useCallback(() => {
    work.current?.stop()
    work.current = null
    setAnswer(null)
  }, [])
  return useMemo(() => ({ answer, share, start, stop, close }), [answer, share, start, stop, close])
}

/** What a change would bring and which promises it would break, before it is given out. */
export function TrialSheet({ trial }: { readonly trial: Trying }) {
  const { answer, share, stop, close } = trial
  const title =
    answer === null || answer === 'working'
      ? 'Trying it'
      : answer.ok
        ? answer.value.title
        : 'That cannot be done'
  return (
    <Sheet title={title} isOpen={answer !== null} onClose={close} place="middle">
      {answer === 'working' &&
        (share === null ? (
          <p className="quiet">Working it out…</p>
        ) : (
          <Progress label="Working it out" done={share} onStop={stop} />
        ))}
      {answer !== null && answer !== 'working' && !answer.ok && (
        <div className="stack">
          <p>{answer.what}</p>
          <p className="quiet">{answer.todo}</p>
          <Button gloved onPress={close}>
            Leave it
          </Button>
        </div>
      )}
      {answer !== null && answer !== 'working' && answer.ok && (
        <TrialBody trial={answer.value} onDone={close} />
      )}
    </Sheet>
  )
}

/** What a plan brings, what it changes, and whether it is to hold. */
export function TrialBody({ trial, onDone }: { readonly trial: Trial; readonly onDone: () => void }) {
  const issue = useIssue()
  const whyNot = useWhyNoIssue()
  const [problem, setProblem] = useState<string | null>(null)
  const give = async () => {
    try {
      await issue(trial.issue)
      onDone()
    } catch (error) {
      setProblem(error instanceof Error ? error.message : String(error))
    }
  }
  return (
    <div className="stack">
      {trial.brings.map((words) => (
        <p key={words}>{words}</p>
      ))}
      <ChangeList changes={trial.changes} />
      {problem && <p role="alert">{problem}</p>}
      <div className="row">
        <Button tone="primary" gloved isDisabled={whyNot !== null} onPress={() => void give()}>
          Give this plan out
        </Button>
        <Button gloved onPress={onDone}>
          Leave it as it was
        </Button>
      </div>
      {whyNot !== null && <p className="quiet">{whyNot}</p>}
    </div>
  )
}
