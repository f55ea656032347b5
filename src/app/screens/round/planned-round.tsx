import { type ReactNode, useCallback, useMemo, useState } from 'react'
import { useChart } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { PrintButton } from '../../parts/print-button.tsx'
import { Progress } from '../../parts/progress.tsx'
import { ExplainSheet } from '../../planning/explain-sheet.tsx'
import type { PlanPicture, RoundPicture } from '../../planning/plan-picture.ts'
import { PlanStanding } from '../../planning/plan-standing.tsx'
import { LateHelp, TooMuch } from '../../planning/too-much.tsx'
import { TrialSheet, useTrial } from '../../planning/trial-sheet.tsx'
import { usePlanned, usePlanner } from '../../planning/use-planner.ts'
import { useOpenVisit } from '../visit/use-open-visit.ts'
import { Carry } from './carry.tsx'
import { FloorsMap } from './floors-map.tsx'
import { Pocket } from './pocket.tsx'
import { Thread } from './thread.tsx'
import { useCarry } from './use-carry.ts'
import type { Drop } from './use-thread-drag.ts'

type View = 'thread' | 'map' | 'carry'
const VIEWS: readonly { value: View; label: string }[] = [
  { value: 'thread', label: 'Thread' },
  { value: 'map', label: 'Map' },
  { value: 'carry', label: 'To carry' },
]

type PlannedRoundProps = {
  readonly picture: PlanPicture
  readonly round: RoundPicture
  readonly acts: ReactNode
}

/** One person's round: what it promises, what it gives up, and the shift as a thread, a map or a list to carry. */
export function PlannedRound({ picture, round, acts }: PlannedRoundProps) {
  const [view, setView] = useState<View>('thread')
  const [asked, setAsked] = useState<string | null>(null)
  const planner = usePlanner()
  const { share } = usePlanned()
  const onVisit = useVisitOf(round)
  const trial = useTrial()
  const { start } = trial
  const onDrop = useCallback(
    ({ id, before }: Drop) => void start({ what: 'try before', visit: id, before }),
    [start],
  )
  const carry = useCarry(round)
  const path = useMemo(
    () =>
      round.stops.flatMap(({ id, unit, at, place, state }) =>
        unit === null ? [] : [{ id, unit, at, place, late: state === 'late' }],
      ),
    [round.stops],
  )
  return (
    <>
      <TooMuch picture={picture} />
      <h2 className="voice-title">{round.sentence}</h2>
      <LateHelp picture={picture} />
      {acts}
      <PlanStanding picture={picture} onlyFor={round.personId} />
      <Search share={share} nearness={picture.nearness} onWanted={(wanted) => planner.search(wanted)} />
      <div className="round-views no-print">
        <Choice label="Show as" labelUnseen options={VIEWS} value={view} onChange={setView} tileRem={7} />
        <PrintButton />
      </div>
      <div className="no-print">
        {view === 'thread' && (
          <Thread
            stops={round.stops}
            endWords={round.endWords}
            onVisit={onVisit}
            onAsk={setAsked}
            onDrop={onDrop}
          />
        )}
        {view === 'map' && <FloorsMap units={picture.units} stops={path} from={round.startUnit} />}
        {view === 'carry' && <Carry list={carry} />}
      </div>
      <Pocket round={round} standing={picture.standingWords} carry={carry} />
      <Remarks remarks={picture.remarks} />
      <ExplainSheet visit={asked} onClose={() => setAsked(null)} onTry={trial.start} />
      <TrialSheet trial={trial} />
    </>
  )
}

/**
 * How far the search for a better plan has come, or how good the plan is that it found. Both take as much room: what is
 * pressed below must not move away from under a finger when a search ends.
 */
function Search({
  share,
  nearness,
  onWanted,
}: {
  readonly share: number | null
  /** How near to the best possible the plan is, as far as is known. */
  readonly nearness: string
  readonly onWanted: (wanted: boolean) => void
}) {
  return (
    <div className="round-search no-print">
      {share === null ? (
        <>
          <p className="quiet">{nearness}</p>
          <Button onPress={() => onWanted(true)}>Look on</Button>
        </>
      ) : (
        <Progress label="Looking for a better plan" done={share} onStop={() => onWanted(false)} />
      )}
    </div>
  )
}

/** Opens the visit of a stop: of its first dose that is still to be given. */
function useVisitOf({ stops }: RoundPicture): (id: string) => void {
  const chart = useChart()
  const open = useOpenVisit()
  return useCallback(
    (id) => {
      const stop = stops.find((each) => each.id === id)
      const dose = stop?.dose
      if (!stop || !dose) return
      const visit =
        chart.visitsOf(dose.orderId).findLast((each) => each.doseAt === dose.doseAt && each.note === null) ??
        null
      void open({ ...dose, visit: visit?.notGiven ? null : visit })
    },
    [chart, open, stops],
  )
}

function Remarks({ remarks }: { readonly remarks: readonly string[] }) {
  if (remarks.length === 0) return null
  return (
    <details className="round-done">
      <summary>{remarks.length} not in the plan, or taken for granted</summary>
      <ul className="lines">
        {remarks.map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
    </details>
  )
}
