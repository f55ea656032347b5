import { useCallback, useState } from 'react'
import { useClock } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Empty } from '../../parts/empty.tsx'
import { ExplainSheet } from '../../planning/explain-sheet.tsx'
import type { StaffingAnswer } from '../../planning/messages.ts'
import type { PlanPicture } from '../../planning/plan-picture.ts'
import { PlanStanding } from '../../planning/plan-standing.tsx'
import { TrialSheet, useTrial } from '../../planning/trial-sheet.tsx'
import { usePlanned, usePlanner } from '../../planning/use-planner.ts'
import { Screen } from '../../shell/screen.tsx'
import { FloorColumns } from './floor-columns.tsx'
import { GoesHome } from './goes-home.tsx'
import { PeopleCurve } from './people-curve.tsx'

/** Everybody of the shift: threads side by side, load and lateness by the hour, and what the day needs. */
export function Floor() {
  const { picture, trouble } = usePlanned()
  return (
    <Screen title="Floor">
      {picture ? (
        <WholeFloor picture={picture} />
      ) : (
        <Empty title={trouble?.what ?? 'The shift is being planned.'}>
          {trouble?.todo ?? 'Everybody’s round appears here in a moment.'}
        </Empty>
      )}
    </Screen>
  )
}

function WholeFloor({ picture }: { readonly picture: PlanPicture }) {
  const planner = usePlanner()
  const clock = useClock()
  const [asked, setAsked] = useState<string | null>(null)
  const [staffing, setStaffing] = useState<StaffingAnswer | null>(null)
  const trial = useTrial()
  const { start } = trial
  const minute = useCallback(
    (at: number) => clock(new Date(Date.parse(picture.from) + at * 60_000).toISOString()),
    [clock, picture.from],
  )
  const onHand = useCallback(
    (visit: string, therapist: string) =>
      void start({ what: 'try', decision: { kind: 'place', visit, therapist } }),
    [start],
  )
  const count = async () => {
    const answer = await planner.ask({ what: 'staffing' })
    if (answer.ok) setStaffing(answer.value)
  }
  return (
    <>
      {picture.givenUp.length > 0 && (
        <p className="voice">Cannot be reached: {picture.givenUp.join('; ')}.</p>
      )}
      <h2 className="voice-title">{picture.sentence}</h2>
      <p className="quiet">{[picture.nearness, ...picture.overloads].filter(Boolean).join(' ')}</p>
      <PlanStanding picture={picture} />
      <div className="row">
        <Button gloved onPress={() => void start({ what: 'afresh' })}>
          Split the patients afresh
        </Button>
        <Button gloved onPress={() => void count()}>
          How many does it need?
        </Button>
        <GoesHome picture={picture} minute={minute} />
      </div>
      <FloorColumns
        columns={picture.columns}
        from={Math.max(0, picture.now - 30)}
        until={(Date.parse(picture.to) - Date.parse(picture.from)) / 60_000}
        now={picture.now}
        clock={minute}
        onAsk={setAsked}
        onHand={onHand}
      />
      {staffing && <p className="voice">{staffing.sentence}</p>}
      <PeopleCurve title="Hands by the hour" hours={staffing?.hours ?? picture.hours} />
      <ExplainSheet visit={asked} onClose={() => setAsked(null)} onTry={trial.start} />
      <TrialSheet trial={trial} />
    </>
  )
}
