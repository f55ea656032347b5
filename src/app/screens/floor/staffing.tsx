import { Progress } from '../../parts/progress.tsx'
import { Table } from '../../parts/table.tsx'
import type { CrewPoint } from '../../planning/messages.ts'
import type { PeopleHour } from '../../planning/plan-picture.ts'
import type { LongAsking } from '../../planning/use-long-ask.ts'
import { PeopleCurve } from './people-curve.tsx'

type StaffingProps = {
  readonly asking: LongAsking<'staffing'>
  /** Hands by the hour as the plan has them, until the question is answered. */
  readonly hours: readonly PeopleHour[]
}

/** Hands by the hour, and, once it has been asked, how many the rest of the shift needs. */
export function Staffing({ asking: { answer, share, stop }, hours }: StaffingProps) {
  const found = answer?.ok ? answer.value : null
  return (
    <>
      {share !== null && (
        <Progress label="Counting how many hands the rest of the shift needs" done={share} onStop={stop} />
      )}
      <div aria-live="polite">
        {found && <p className="voice">{found.sentence}</p>}
        {answer && !answer.ok && <p className="quiet">{`${answer.what} ${answer.todo}`}</p>}
      </div>
      <PeopleCurve title="Hands by the hour" hours={found?.hours ?? hours} />
      {found && found.points.length > 1 && <Crews points={found.points} />}
    </>
  )
}

/** What smaller crews would reach. */
function Crews({ points }: { readonly points: readonly CrewPoint[] }) {
  return (
    <Table
      caption="What a crew would reach, from now on"
      columns={[
        { name: 'Hands', cell: ({ crew }) => crew, figures: true },
        { name: 'Minutes late in all', cell: ({ lateMinutes }) => lateMinutes, figures: true },
        { name: 'Visits left out', cell: ({ leftOut }) => leftOut, figures: true },
      ]}
      rows={points}
      keyOf={({ crew }) => String(crew)}
      none=""
    />
  )
}
