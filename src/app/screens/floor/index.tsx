import { useCallback, useDeferredValue, useState } from 'react'
import { useClock } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Empty } from '../../parts/empty.tsx'
import { ExplainSheet } from '../../planning/explain-sheet.tsx'
import type { PlanPicture } from '../../planning/plan-picture.ts'
import { PlanStanding } from '../../planning/plan-standing.tsx'
import { LateHelp, TooMuch } from '../../planning/too-much.tsx'
import { TrialSheet, useTrial } from '../../planning/trial-sheet.tsx'
import { useLongAsk } from '../../planning/use-long-ask.ts'
import { usePlanned } from '../../planning/use-planner.ts'
import { Screen } from '../../shell/screen.tsx'
import { StillComing } from '../../shell/still-coming.tsx'
import { FloorColumns } from './floor-columns.tsx'
import { GoesHome } from './goes-home.tsx'
import { HandAllSheet } from './hand-all-sheet.tsx'
import { Staffing } from './staffing.tsx'
import type { Load } from './use-hand-drag.ts'

/** Everybody of the shift: threads side by side, load and lateness by the hour, and what the day needs. */
export function Floor() {
  // A new plan is drawn a little at a time: a finger may be on the old one.
  const { picture, trouble } = useDeferredValue(usePlanned())
  return (
    <Screen title="Floor">
      <StillComing />
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
  const clock = useClock()
  const [asked, setAsked] = useState<string | null>(null)
  const [handing, setHanding] = useState<string | null>(null)
  const staffing = useLongAsk('staffing')
  const trial = useTrial()
  const { start } = trial
  const minute = useCallback(
    (at: number) => clock(new Date(Date.parse(picture.from) + at * 60_000).toISOString()),
    [clock, picture.from],
  )
  const onHand = useCallback(
    (load: Load, from: string, to: string) =>
      void start(
        'visit' in load
          ? { what: 'try', decision: { kind: 'place', visit: load.visit, therapist: to } }
          : { what: 'hand all', from, to },
      ),
    [start],
  )
  // Beside the question once it is asked; until then it is looked up below.
  const isAsked = staffing.share !== null || staffing.answer !== null
  const hands = <Staffing asking={staffing} hours={picture.hours} />
  return (
    <>
      <TooMuch picture={picture} />
      <h2 className="voice-title">{picture.sentence}</h2>
      <p className="quiet">{picture.nearness}</p>
      <LateHelp picture={picture} />
      <PlanStanding picture={picture} />
      <div className="row">
        <Button gloved onPress={() => void start({ what: 'afresh' })}>
          Split the patients afresh
        </Button>
        <Button gloved onPress={staffing.start}>
          How many does it need?
        </Button>
        <GoesHome picture={picture} minute={minute} />
      </div>
      {isAsked && hands}
      <FloorColumns
        columns={picture.columns}
        from={Math.max(0, picture.now - 30)}
        until={(Date.parse(picture.to) - Date.parse(picture.from)) / 60_000}
        now={picture.now}
        clock={minute}
        onAsk={setAsked}
        onHand={onHand}
        onHandAll={setHanding}
      />
      {!isAsked && hands}
      <ExplainSheet visit={asked} onClose={() => setAsked(null)} onTry={trial.start} />
      <HandAllSheet
        columns={picture.columns}
        from={handing}
        onClose={() => setHanding(null)}
        onHand={(from, to) => void start({ what: 'hand all', from, to })}
      />
      <TrialSheet trial={trial} />
    </>
  )
}
