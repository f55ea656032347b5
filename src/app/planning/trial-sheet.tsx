import { useCallback, useMemo, useState } from 'react'
import { mayWrite } from '../../chart/permissions.ts'
import { useMe } from '../local/hooks.ts'
import { Button } from '../parts/button.tsx'
import { Sheet } from '../parts/sheet.tsx'
import { ChangeList } from './change-list.tsx'
import type { Answer, Ask, Trial } from './messages.ts'
import { useIssue, usePlanner } from './use-planner.ts'

type TrialAsk = Extract<Ask, { what: 'try' | 'try before' | 'afresh' }>

/** A change of the plan that somebody tries: asked, answered, and taken or left. */
export type Trying = {
  readonly answer: Answer<'try'> | 'working' | null
  readonly start: (ask: TrialAsk) => Promise<void>
  readonly close: () => void
}

export function useTrial(): Trying {
  const planner = usePlanner()
  const [answer, setAnswer] = useState<Trying['answer']>(null)
  const start = useCallback(
    async (ask: TrialAsk) => {
      setAnswer('working')
      setAnswer((await planner.ask(ask)) as Answer<'try'>)
    },
    [planner],
  )
  const close = useCallback(() => setAnswer(null), [])
  return useMemo(() => ({ answer, start, close }), [answer, start, close])
}

/** What a change would bring and which promises it would break, before it is given out. */
export function TrialSheet({ trial }: { readonly trial: Trying }) {
  const { answer, close } = trial
  const title =
    answer === null || answer === 'working'
      ? 'Trying it'
      : answer.ok
        ? answer.value.title
        : 'That cannot be done'
  return (
    <Sheet title={title} isOpen={answer !== null} onClose={close} place="middle">
      {answer === 'working' && <p className="quiet">Working it out…</p>}
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
  const me = useMe()
  const may = mayWrite(me.role, 'plan-issued')
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
        <Button tone="primary" gloved isDisabled={!may} onPress={() => void give()}>
          Give this plan out
        </Button>
        <Button gloved onPress={onDone}>
          Leave it as it was
        </Button>
      </div>
      {!may && <p className="quiet">Therapists and the lead give plans out.</p>}
    </div>
  )
}
