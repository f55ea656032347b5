import type { Working } from '../../clinical/calculation.ts'
import type { Source } from '../../clinical/worked.ts'
import type { MinimumGap, WindowRule } from './dose-window.ts'
import type { Planned } from './planned-doses.ts'
import { TIMING_SOURCES } from './sources.ts'
import { wallText } from './wall-text.ts'
import { wallMinutes, type Zone } from './zone.ts'

/** What decides about all doses of a stretch alike. */
export type DoseGrounds = {
  readonly repeat: Pick<Working, 'steps' | 'cautions'>
  readonly window: WindowRule
  readonly gap: MinimumGap
  readonly sources: readonly Source[]
}

const MINUTE_MS = 60_000

export function doseGrounds(repeat: Working, window: WindowRule, gap: MinimumGap): DoseGrounds {
  const sources = [...new Set([...repeat.sources, ...window.sources, ...gap.sources])]
  return { repeat, window, gap, sources }
}

/**
 * Why a dose is due at its time, in words, with what there is to beware of.
 * @param beforeMs the dose before it in the schedule, when one lies near
 */
export function doseWorking(
  planned: Planned,
  beforeMs: number | null,
  { repeat, window, gap, sources }: DoseGrounds,
  zone: Zone,
): Working {
  const due = `Due ${wallText(zone.wallAt(planned.ms))} in ${zone.name}`
  const notes = planned.note === null ? [due] : [planned.note, due]
  const changed = [...clockCautions(planned, beforeMs, zone), ...gapCautions(planned, beforeMs, gap)]
  return {
    steps: [...repeat.steps, ...notes, ...window.steps, ...gap.steps],
    sources:
      planned.how === 'plain' && planned.movedHere.length === 0
        ? sources
        : [...sources, TIMING_SOURCES.clockChange],
    cautions: changed.length === 0 ? repeat.cautions : [...repeat.cautions, ...changed],
  }
}

function clockCautions(planned: Planned, beforeMs: number | null, zone: Zone): string[] {
  const cautions: string[] = []
  if (planned.how === 'skipped')
    cautions.push(`The clock skips this time; the dose moves on by ${planned.shiftedMinutes} min`)
  if (planned.how === 'repeated') cautions.push('The clock shows this time twice; the first counts')
  for (const wall of planned.movedHere)
    cautions.push(`The clock skips ${wallText(wall)}; that dose falls together with this one`)
  if (beforeMs === null) return cautions
  const real = (planned.ms - beforeMs) / MINUTE_MS
  const shown = wallMinutes(zone.wallAt(planned.ms)) - wallMinutes(zone.wallAt(beforeMs))
  if (Math.abs(shown - real) >= 1 && planned.ms % MINUTE_MS === beforeMs % MINUTE_MS)
    cautions.push(`The clock is changed in between: ${shown} min on the wall are ${real} min of real time`)
  return cautions
}

function gapCautions(planned: Planned, beforeMs: number | null, gap: MinimumGap): string[] {
  if (beforeMs === null || gap.minutes === null) return []
  const real = (planned.ms - beforeMs) / MINUTE_MS
  if (real >= gap.minutes) return []
  return [`Only ${real} min after the dose before; at least ${gap.minutes} min are asked for`]
}
