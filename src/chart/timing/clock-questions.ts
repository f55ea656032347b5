import { instant } from './instant-text.ts'
import type { Planned } from './planned-doses.ts'
import type { ScheduleQuestion } from './repeat.ts'
import { wallText } from './wall-text.ts'
import { wallMinutes, type Zone } from './zone.ts'

const MINUTE_MS = 60_000
/** As far as clocks are put forward for a summer; a day left out altogether is always asked about. Design rule. */
const USUAL_CHANGE_MINUTES = 120
const ADVICE = 'Ask the prescriber or by department policy which doses to give that night'

/**
 * What a change of clock did to one dose that a person must decide about: a time that the clock never showed was moved
 * onto this dose, so that one dose stands for two; or the dose before lies nearer than half the shortest gap of
 * the schedule, though on the wall it does not. Half the gap is a design rule, from no source, for the department to confirm.
 * @param neighbors the doses before and after it in the schedule, where there are any
 * @param shortestGapMinutes by the clock; null for a dose that does not repeat by it
 */
export function clockQuestions(
  planned: Planned,
  neighbors: Neighbors,
  shortestGapMinutes: number | null,
  zone: Zone,
): ScheduleQuestion[] {
  const { before } = neighbors
  return [...joined(planned, neighbors, zone), ...crowded(planned, before, shortestGapMinutes, zone)]
}

type Neighbors = { readonly before: Planned | undefined; readonly next: Planned | undefined }

function joined(planned: Planned, neighbors: Neighbors, zone: Zone): ScheduleQuestion[] {
  const { ms, movedHere } = planned
  const here = zone.wallAt(ms)
  return movedHere.flatMap((wall) => {
    const apart = wallMinutes(here) - wallMinutes(wall)
    if (goesOnAt(apart, planned, neighbors)) return []
    return {
      code: 'clock-change-joins-doses',
      what: `${wallText(wall)} does not exist in ${zone.name}; moved on by ${apart} min it falls together with the dose at ${wallText(here)}: one dose stands there for two`,
      todo: ADVICE,
      doseAt: instant(ms),
    }
  })
}

/**
 * Whether the schedule runs on before and after at no more than the time by which the two doses were apart: a dose
 * every hour, or oftener, of which the night has an hour less. No dose is lost that the time called for.
 */
function goesOnAt(apartMinutes: number, { ms }: Planned, { before, next }: Neighbors): boolean {
  if (!before || !next || apartMinutes > USUAL_CHANGE_MINUTES) return false
  const most = apartMinutes * MINUTE_MS
  return ms - before.ms <= most && next.ms - ms <= most
}

function crowded(
  planned: Planned,
  before: Planned | undefined,
  shortestGapMinutes: number | null,
  zone: Zone,
): ScheduleQuestion[] {
  if (!before || shortestGapMinutes === null) return []
  if (planned.kind !== 'scheduled' || before.kind !== 'scheduled') return []
  const real = (planned.ms - before.ms) / MINUTE_MS
  if (real * 2 >= shortestGapMinutes) return []
  const moved = [before, planned].find(({ how }) => how === 'skipped')
  const [earlier, later] = [zone.wallAt(before.ms), zone.wallAt(planned.ms)]
  // Where the clock ran on as usual, something else brought them together: a changed order, not the night.
  if (!moved && wallMinutes(later) - wallMinutes(earlier) === real) return []
  const why = moved
    ? `the time of the dose at ${wallText(zone.wallAt(moved.ms))} does not exist that night and was moved on by ${moved.shiftedMinutes} min`
    : 'the clock is changed in between'
  return [
    {
      code: 'clock-change-crowds-doses',
      what: `${wallText(earlier)} and ${wallText(later)} in ${zone.name} lie ${real} min of real time apart, of ${shortestGapMinutes} min at least on other days: ${why}`,
      todo: ADVICE,
      doseAt: instant(planned.ms),
    },
  ]
}
