import { FloorColumns } from '../../src/app/screens/floor/floor-columns.tsx'
import { PeopleCurve } from '../../src/app/screens/floor/people-curve.tsx'
import { FloorsMap } from '../../src/app/screens/round/floors-map.tsx'
import { Thread } from '../../src/app/screens/round/thread.tsx'
import { Screen } from '../../src/app/shell/screen.tsx'
import { clockText } from '../../src/rounds/words.ts'
import { columnsOf, hoursOf, shift, threadOf } from './shift-pictures.ts'

const stops = threadOf(0)
const columns = columnsOf()
const hours = hoursOf()
const units = shift.units.map(({ id, floor }) => ({ id, name: `Unit ${id}`, short: id, floor }))
const path = stops.map(({ id, at, place, state }) => ({
  id,
  unit: place === 'Break' ? 'BASE' : (place.split(' ')[0] ?? 'BASE'),
  at,
  place,
  late: state === 'late',
}))
const nothing = () => {}

/** One therapist's thread and way. */
export function OneRound() {
  return (
    <Screen title="Round" about="Day shift until 19:00">
      <p className="voice-title">Thirty-five visits left. Twenty-nine on time, six late.</p>
      <Thread
        stops={stops}
        endWords="Back at the base at 18:52."
        onVisit={nothing}
        onAsk={nothing}
        onDrop={nothing}
      />
      <FloorsMap units={units} stops={path} from="BASE" />
    </Screen>
  )
}

/** Everybody. */
export function WholeFloor() {
  return (
    <Screen title="Floor" about="Day shift until 19:00">
      <p className="voice-title">One hundred and five visits, fourteen late.</p>
      <FloorColumns
        columns={columns}
        from={0}
        until={720}
        now={95}
        clock={(minute) => clockText(shift, minute)}
        onAsk={nothing}
        onHand={nothing}
        onHandAll={nothing}
      />
      <PeopleCurve title="Hands by the hour" hours={hours} />
    </Screen>
  )
}
