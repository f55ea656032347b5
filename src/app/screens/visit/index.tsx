import { useNavigate, useParams } from '@tanstack/react-router'
import { useMemo, useState } from 'react'
import { termsAt } from '../../../chart/folds/order.ts'
import { ageAt, ageInWords, fullName } from '../../../chart/folds/patient.ts'
import { isOver } from '../../../chart/folds/visit.ts'
import { placeText } from '../../../chart/handover.ts'
import { nextStage, viewStages } from '../../../chart/stages/index.ts'
import type { StageName } from '../../../chart/stages/stage.ts'
import { useBedside, useRules } from '../../hospital/index.ts'
import {
  useChart,
  useClock,
  useLooked,
  useMe,
  useNow,
  useRecord,
  useSite,
  useToday,
} from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Empty } from '../../parts/empty.tsx'
import { Fold } from '../../parts/fold.tsx'
import { Strip } from '../../parts/strip.tsx'
import { useHoldUpdates } from '../../shell/hold-updates.ts'
import { Screen } from '../../shell/screen.tsx'
import { NotWhole } from '../patient/not-whole.tsx'
import { AfterStage } from './after-stage.tsx'
import { ChartStage } from './chart-stage.tsx'
import { type Desk, DeskContext } from './desk.ts'
import { DoorStage } from './door-stage.tsx'
import { GiveStage } from './give-stage.tsx'
import { IdentifyStage } from './identify-stage.tsx'
import { MeasureStage } from './measure-stage.tsx'
import { NotGivenSheet } from './not-given-sheet.tsx'
import { PrepareStage } from './prepare-stage.tsx'
import { SetUpStage } from './set-up-stage.tsx'
import { VisitQuestions } from './visit-questions.tsx'
import './visit.css'

/** One patient, one treatment: the stages in order, one open, the others folded to the line that matters. */
export function Visit() {
  const { visitId } = useParams({ from: '/visit/$visitId' })
  const desk = useDeskFor(visitId)
  if (!desk) {
    return (
      <Screen title="Visit">
        <Empty title="This visit is not on this tablet.">
          It may be on its way. Go back to the round and open it from there.
        </Empty>
      </Screen>
    )
  }
  return (
    <DeskContext value={desk}>
      <VisitScreen desk={desk} />
    </DeskContext>
  )
}

function useDeskFor(visitId: string): Desk | null {
  const chart = useChart()
  const now = useNow()
  const me = useMe()
  const clock = useClock()
  const today = useToday()
  const record = useRecord()
  const visit = chart.visit(visitId)
  const order = visit && chart.order(visit.orderId)
  if (!visit || !order) return null
  const about = { patientId: visit.patientId, orderId: visit.orderId, visitId }
  return {
    chart,
    visit,
    order,
    patient: chart.patient(visit.patientId),
    terms: termsAt(order, visit.opened.at),
    now,
    me,
    clock,
    today,
    act: async (kind, body, more) => {
      await record(kind, about, body, more)
    },
  }
}

function VisitScreen({ desk }: { readonly desk: Desk }) {
  const { visit, patient, terms, now, me, act } = desk
  useLooked(patient.patientId, 'visit')
  const navigate = useNavigate()
  const [reopened, setReopened] = useState<StageName | null>(null)
  const [notGiven, setNotGiven] = useState(false)
  useHoldUpdates(isOver(visit) ? null : 'a visit is open')
  const stages = viewStages(desk)
  const next = visit.notGiven ? 'chart' : nextStage(desk)
  const open = reopened ?? next ?? 'chart'
  const age = ageAt(patient.dob, now)
  const taken = visit.hands.at(-1)
  const firstHand = visit.hands[0]
  const keepNotGiven = async (said: Parameters<Parameters<typeof NotGivenSheet>[0]['onKeep']>[0]) => {
    await act('dose-not-given', { doseAt: visit.doseAt, ...said })
    setNotGiven(false)
    setReopened(null)
  }
  return (
    <Screen
      title={`${placeText(patient)} · ${fullName(patient)}${age ? `, ${ageInWords(age)}` : ''}`}
      about={`${terms.title}, ${terms.frequency?.code ?? 'no frequency'}`}
    >
      <div className="row row-apart">
        <Button
          tone="quiet"
          flush="start"
          onPress={() => navigate({ to: '/patient/$patientId', params: { patientId: patient.patientId } })}
        >
          the patient
        </Button>
        <Button tone="quiet" flush="end" onPress={() => navigate({ to: '/' })}>
          leave the visit
        </Button>
      </div>
      {taken && firstHand && taken.personId !== firstHand.personId && (
        <Strip kind="caution" word="Taken up.">
          {firstHand.personId === me.personId ? 'You began' : `${firstHand.personId} began`} this visit;{' '}
          {taken.personId === me.personId ? 'you have' : `${taken.personId} has`} it in hand now.
        </Strip>
      )}
      {!isOver(visit) && <NotWhole patientId={patient.patientId} />}
      <VisitQuestions />
      <div>
        {stages.map((stage) => {
          if (visit.notGiven && stage.name !== 'chart' && !stage.done) return null
          const isOpen = stage.name === open
          const isAhead = !stage.done && !isOpen
          return (
            <Fold
              key={stage.name}
              name={stage.title}
              line={stage.line}
              state={isOpen ? 'open' : isAhead ? 'ahead' : 'done'}
              {...(!isAhead && { onOpen: () => setReopened(stage.name) })}
              focusOnOpen={reopened !== null || visit.door !== null}
            >
              {isOpen && (
                <OpenStage
                  name={stage.name}
                  reopened={reopened !== null && reopened !== next}
                  line={stage.line}
                  onBack={() => setReopened(null)}
                  onNotGiven={() => setNotGiven(true)}
                />
              )}
            </Fold>
          )
        })}
      </div>
      {!isOver(visit) && visit.run.startedAt === null && open !== 'door' && (
        <div className="row">
          <Button onPress={() => setNotGiven(true)}>Not given</Button>
        </div>
      )}
      {visit.note && !visit.note.needsCosign && (
        <Button tone="primary" gloved onPress={() => navigate({ to: '/' })}>
          Back to the round
        </Button>
      )}
      <NotGivenSheet isOpen={notGiven} onClose={() => setNotGiven(false)} onKeep={keepNotGiven} />
    </Screen>
  )
}

type OpenStageProps = {
  readonly name: StageName
  /** An earlier stage opened again to be read; what is next waits. */
  readonly reopened: boolean
  readonly line: string
  readonly onBack: () => void
  readonly onNotGiven: () => void
}

function OpenStage({ name, reopened, line, onBack, onNotGiven }: OpenStageProps) {
  const bedside = useBedside()
  const rules = useRules()
  const { severalAtOnce } = useSite()
  const running = useRunningElsewhere()
  const cup = useMemo(() => bedside.setUp().cups[0], [bedside])
  if (reopened && name !== 'measure' && name !== 'chart') {
    return (
      <div className="stack">
        <p className="voice">{line}</p>
        <Button onPress={onBack}>Back to what is next</Button>
      </div>
    )
  }
  switch (name) {
    case 'door':
      return <DoorStage bedside={bedside} onNotGiven={onNotGiven} />
    case 'identify':
      return <IdentifyStage bedside={bedside} onNotGiven={onNotGiven} />
    case 'measure':
      return <MeasureStage bedside={bedside} rules={rules} />
    case 'prepare':
      return <PrepareStage bedside={bedside} maxMl={cup?.maxFillMl ?? 8} />
    case 'set up':
      return <SetUpStage bedside={bedside} />
    case 'give':
      return (
        <GiveStage
          bedside={bedside}
          rules={rules}
          alongside={running}
          mayStart={running.length < severalAtOnce.maximumRunning}
        />
      )
    case 'after':
      return <AfterStage bedside={bedside} rules={rules} cupDueAt={null} />
    case 'chart':
      return <ChartStage />
  }
}

/** Visits of this person that run now, other than this one. */
function useRunningElsewhere(): readonly string[] {
  const chart = useChart()
  const me = useMe()
  const { visitId } = useParams({ from: '/visit/$visitId' })
  return chart
    .visits()
    .filter((visit) => visit.visitId !== visitId && visit.hands.at(-1)?.personId === me.personId)
    .filter(({ run }) => run.startedAt !== null && run.endedAt === null)
    .map((visit) => visit.visitId)
}
