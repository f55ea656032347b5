import { useEffect, useState } from 'react'
import { Button } from '../parts/button.tsx'
import { Sheet } from '../parts/sheet.tsx'
import type { Answer, Ask, OtherPlace } from './messages.ts'
import { usePlanner } from './use-planner.ts'

type ExplainSheetProps = {
  /** The visit asked about; null while nothing is. */
  readonly visit: string | null
  readonly onClose: () => void
  readonly onTry: (ask: Extract<Ask, { what: 'try' | 'try before' | 'afresh' }>) => void
}

/** Why a visit is then and with them, and everything else that could be done with it: no dragging needed. */
export function ExplainSheet({ visit, onClose, onTry }: ExplainSheetProps) {
  const planner = usePlanner()
  const [answer, setAnswer] = useState<Answer<'explain'> | null>(null)
  useEffect(() => {
    if (visit === null) return
    let isWanted = true
    setAnswer(null)
    void planner.ask({ what: 'explain', visit }).then((next) => isWanted && setAnswer(next))
    return () => {
      isWanted = false
    }
  }, [planner, visit])
  const shown = answer?.ok ? answer.value : null
  const title = shown ? `${shown.at}, ${shown.place}` : 'Why then?'
  const choose = (decision: OtherPlace['decision']) => {
    onClose()
    onTry({ what: 'try', decision })
  }
  return (
    <Sheet title={title} isOpen={visit !== null} onClose={onClose}>
      <div className="stack">
        {answer === null && <p className="quiet">Working it out…</p>}
        {answer && !answer.ok && (
          <p>
            {answer.what} {answer.todo}
          </p>
        )}
        {shown && (
          <>
            <p className="quiet">
              {shown.who} · {shown.what} · {shown.therapist}
            </p>
            {shown.why.map((words) => (
              <p key={words}>{words}</p>
            ))}
            {!shown.movable && (
              <p className="quiet">It has begun or begins shortly, and is not moved any more.</p>
            )}
            {shown.movable && (
              <>
                <Places title="Another time" places={shown.others} onChoose={choose} />
                <Places title="To somebody else" places={shown.byOthers} onChoose={choose} />
                {shown.cannot.length > 0 && <p className="quiet">{shown.cannot.join('. ')}.</p>}
                {shown.pinned ? (
                  <Button gloved onPress={() => choose({ kind: 'release', visit: shown.visit })}>
                    Take the pin off
                  </Button>
                ) : (
                  <Button gloved onPress={() => choose(shown.pin)}>
                    Pin it at {shown.at}
                  </Button>
                )}
              </>
            )}
          </>
        )}
      </div>
    </Sheet>
  )
}

function Places({
  title,
  places,
  onChoose,
}: {
  readonly title: string
  readonly places: readonly OtherPlace[]
  readonly onChoose: (decision: OtherPlace['decision']) => void
}) {
  if (places.length === 0) return null
  return (
    <section>
      <h3>{title}</h3>
      <ul className="lines">
        {places.map(({ words, costs, decision }) => (
          <li key={words} className="row row-apart">
            <div>
              <p className="strong">{words}</p>
              <p className="quiet">{costs}</p>
            </div>
            <Button gloved aria-label={`Move it: ${words}`} onPress={() => onChoose(decision)}>
              Move it
            </Button>
          </li>
        ))}
      </ul>
    </section>
  )
}
