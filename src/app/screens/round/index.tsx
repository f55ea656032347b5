import { startTransition, useDeferredValue, useState } from 'react'
import { AheadOfTheDoor, useAheadOfTheDoor } from '../../hospital/index.ts'
import { useChart, useMe, useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Empty } from '../../parts/empty.tsx'
import { usePlanned } from '../../planning/use-planner.ts'
import { Screen } from '../../shell/screen.tsx'
import { StillComing } from '../../shell/still-coming.tsx'
import { AwaySheet } from './away-sheet.tsx'
import { CallSheet } from './call-sheet.tsx'
import { DoneList } from './done-list.tsx'
import { DueList } from './due-list.tsx'
import { PlannedRound } from './planned-round.tsx'
import { Running } from './running.tsx'
import { roundSentence, useRound } from './use-round.ts'
import './round.css'

type Scope = 'mine' | 'all'
const SCOPES: readonly { value: Scope; label: string }[] = [
  { value: 'mine', label: 'My round' },
  { value: 'all', label: 'All units' },
]

/** The home: one's own round as it is planned, or everything that falls due; running treatments ride at the top. */
export function Round() {
  const now = useNow(60_000)
  const me = useMe()
  const [scope, setScope] = useState<Scope>('mine')
  const [sheet, setSheet] = useState<'call' | 'away' | null>(null)
  const round = useRound(scope === 'all' ? null : me.personId, now)
  const ahead = useAheadOfTheDoor(`${now.slice(0, 16)}:00.000Z`)
  // A new plan is drawn a little at a time: a finger may be on the old one.
  const { picture, trouble } = useDeferredValue(usePlanned())
  const mine = picture?.rounds.find(({ personId }) => personId === me.personId) ?? null
  const waiting = round.doses.filter(({ status }) => status !== 'given' && status !== 'not given')
  const done = round.doses.filter(({ status }) => status === 'given' || status === 'not given')
  // What was written is drawn first; the sheet goes in a task of its own.
  const close = () => startTransition(() => setSheet(null))
  const acts = (
    <div className="round-acts no-print">
      <div className="row">
        <Button gloved onPress={() => setSheet('call')}>
          A call came in
        </Button>
        <Button gloved onPress={() => setSheet('away')}>
          Someone is away
        </Button>
      </div>
      <Choice label="Whose" labelUnseen options={SCOPES} value={scope} onChange={setScope} tileRem={8} />
    </div>
  )
  return (
    <AheadOfTheDoor value={ahead}>
      <Screen title="Round" about={[round.shiftWords, ...round.units].join(' · ')}>
        <StillComing />
        {round.running.map((dose) => (
          <Running key={dose.orderId + dose.doseAt} dose={dose} />
        ))}
        {scope === 'mine' && picture && mine ? (
          <PlannedRound picture={picture} round={mine} acts={acts} />
        ) : (
          <>
            <h2 className="voice-title">{roundSentence(waiting)}</h2>
            {acts}
            {scope === 'mine' && <NoRound trouble={trouble} hasPlan={picture !== null} />}
            {waiting.length === 0 && (
              <Empty title="Nothing is due until the shift ends.">
                New orders appear here as soon as they arrive.
              </Empty>
            )}
            <DueList round={round} />
          </>
        )}
        <DoneList doses={done} />
        <CallSheet isOpen={sheet === 'call'} onClose={close} />
        <AwaySheet isOpen={sheet === 'away'} onClose={close} />
      </Screen>
    </AheadOfTheDoor>
  )
}

/** Why the due list stands here and no round of one's own. */
function NoRound({
  trouble,
  hasPlan,
}: {
  readonly trouble: { readonly what: string; readonly todo: string } | null
  readonly hasPlan: boolean
}) {
  const chart = useChart()
  const me = useMe()
  if (trouble) return <p className="quiet">{`${trouble.what} ${trouble.todo}`}</p>
  if (!hasPlan) return <p className="quiet">The round is being planned; this is the due list.</p>
  const person = chart.person(me.personId)
  return (
    <p className="quiet">
      {person?.role === 'learner' ? 'Learners work beside somebody' : 'You are not on this shift'}, so no
      round is planned for you; this is the due list.
    </p>
  )
}
