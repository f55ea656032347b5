import { Link } from '@tanstack/react-router'
import { useState } from 'react'
import type { SetUpAdvice } from '../../../chart/bedside/advise-set-up.ts'
import { type SentChoice, sentChoice } from '../../../chart/bedside/sent-choice.ts'
import { Button } from '../../parts/button.tsx'
import { Strip } from '../../parts/strip.tsx'
import { useDesk } from './desk.ts'

type SentSetUpProps = {
  readonly advice: SetUpAdvice
  /** The fact that was taken, once one was. */
  readonly taken: string | null
  readonly onTake: (choice: SentChoice['choice'], factId: string) => void
}

/** A set-up that was sent here from the bench: where it came from, what it says, and whether to use it. */
export function SentSetUp({ advice, taken, onTake }: SentSetUpProps) {
  const { visit, chart, clock } = useDesk()
  const [left, setLeft] = useState(false)
  const { sent } = visit
  if (!sent || (left && taken === null)) return null
  const { words, choice, cannot } = sentChoice(sent.body, advice, visit.prepared?.body.totalMl ?? null)
  const who = chart.person(sent.by.personId)?.name ?? sent.by.personId
  return (
    <section className="stack stack-close" aria-label="Sent from the bench">
      <Strip kind="note" word={`Set-up ${sent.body.letter} from the bench, ${who}, ${clock(sent.at)}:`}>
        {words}
        {cannot.map((each) => (
          <span key={each}> {each}</span>
        ))}
      </Strip>
      <div className="row">
        {taken === sent.factId ? (
          <p className="strong">Taken as the choice below; it can still be changed.</p>
        ) : (
          <>
            <Button gloved onPress={() => onTake(choice, sent.factId)}>
              Use it
            </Button>
            <Button gloved onPress={() => setLeft(true)}>
              Leave it
            </Button>
          </>
        )}
        <Link to={`/bench?${sent.body.bench}` as '/bench'}>Open that bench</Link>
      </div>
    </section>
  )
}
