import type { Working } from '../../clinical/calculation.ts'
import type { Source } from '../../clinical/worked.ts'
import type { MinimumGap, WindowRule } from './dose-window.ts'
import type { Planned } from './planned-doses.ts'
import { TIMING_SOURCES } from './sources.ts'
import { DAY_MS, type WallTime, type Zone } from './zone.ts'

/** All that decided about one dose, for telling why it is due when it is. */
export type DoseGrounds = {
  readonly planned: Planned
  readonly repeat: Pick<Working, 'steps' | 'sources' | 'cautions'>
  readonly window: WindowRule
  readonly gap: MinimumGap
  /** The dose before it in the schedule, when one lies near. */
  readonly beforeMs: number | null
  readonly zone: Zone
}

const MINUTE_MS = 60_000

/** Why a dose is due at its time, in words, with what there is to beware of. */
export function doseWorking(grounds: DoseGrounds): Working {
  const { planned, repeat, window, gap, zone } = grounds
  const notes = planned.note === null ? [] : [planned.note]
  const due = `Due ${wallText(zone.wallAt(planned.ms))} in ${zone.name}`
  const cautions = [...repeat.cautions, ...clockCautions(grounds), ...gapCautions(grounds)]
  return {
    steps: [...repeat.steps, ...notes, due, ...window.steps, ...gap.steps],
    sources: once([
      ...repeat.sources,
      ...(planned.how === 'plain' ? [] : [TIMING_SOURCES.clockChange]),
      ...window.sources,
      ...gap.sources,
    ]),
    cautions,
  }
}

function clockCautions({ planned, beforeMs, zone }: DoseGrounds): string[] {
  const cautions: string[] = []
  if (planned.how === 'skipped')
    cautions.push(`The clock skips this time; the dose moves on by ${planned.shiftedMinutes} min`)
  if (planned.how === 'repeated') cautions.push('The clock shows this time twice; the first counts')
  if (beforeMs === null) return cautions
  const real = (planned.ms - beforeMs) / MINUTE_MS
  const shown = wallMinutes(zone.wallAt(planned.ms)) - wallMinutes(zone.wallAt(beforeMs))
  if (Math.abs(shown - real) >= 1 && planned.ms % MINUTE_MS === beforeMs % MINUTE_MS)
    cautions.push(`The clock is changed in between: ${shown} min on the wall are ${real} min of real time`)
  return cautions
}

function gapCautions({ planned, beforeMs, gap }: DoseGrounds): string[] {
  if (beforeMs === null || gap.minutes === null) return []
  const real = (planned.ms - beforeMs) / MINUTE_MS
  if (real >= gap.minutes) return []
  return [`Only ${real} min after the dose before; at least ${gap.minutes} min are asked for`]
}

function wallMinutes({ day, minute }: WallTime): number {
  return day * 1440 + minute
}

function wallText({ day, minute }: WallTime): string {
  const two = (part: number) => String(part).padStart(2, '0')
  const date = new Date(day * DAY_MS).toISOString().slice(0, 10)
  return `${date} ${two(Math.floor(minute / 60))}:${two(minute % 60)}`
}

function once(sources: readonly Source[]): readonly Source[] {
  return [...new Set(sources)]
}
