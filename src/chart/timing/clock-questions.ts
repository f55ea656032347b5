import { instant } from './instant-text.ts'
import type { Planned } from './planned-doses.ts'
import type { ScheduleQuestion } from './repeat.ts'
import { wallText } from './wall-text.ts'
import { wallMinutes, type Zone } from './zone.ts'

const MINUTE_MS = 60_000
const ADVICE = 'Ask the prescriber or by department policy which doses to give that night'

/**
 * What a change of clock did to one dose that a person must decide about: a time that the clock never showed was moved
 * onto this dose, so that one dose stands for two; or the dose before lies nearer than half the shortest gap of
 * the schedule, though on the wall it does not. Half the gap is a design rule, from no source, for the department to confirm.
 * @param shortestGapMinutes by the clock; null for a dose that does not repeat by it
 */
export function clockQuestions(
  planned: Planned,
  before: Planned | undefined,
  shortestGapMinutes: number | null,
  zone: Zone,
): ScheduleQuestion[] {
  return [...joined(planned, zone), ...crowded(planned, before, shortestGapMinutes, zone)]
}

function joined({ ms, movedHere }: Planned, zone: Zone): ScheduleQuestion[] {
  return movedHere.map((wall) => {
    const here = zone.wallAt(ms)
    return {
      code: 'clock-change-joins-doses',
      what: `${wallText(wall)} does not exist in ${zone.name}; moved on by ${wallMinutes(here) - wallMinutes(wall)} min it falls together with the dose at ${wallText(here)}: one dose stands there for two`,
      todo: ADVICE,
      doseAt: instant(ms),
    }
  })
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
