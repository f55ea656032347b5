import type { DueDose } from '../timing/doses-due.ts'
import { TIMING_SOURCES } from '../timing/sources.ts'
import { type BedsideFinding, sentence } from './finding.ts'

/** What a change of clock leaves to be decided about a dose, as the bedside asks it. */
export function clockFindings(dose: Pick<DueDose, 'questions'> | null): BedsideFinding[] {
  const { cite, standing } = TIMING_SOURCES.clockChange
  return (dose?.questions ?? []).map(({ code, what, todo }) => ({
    code,
    severity: 'ask',
    what: sentence(what),
    why: sentence(todo),
    sources: [`${cite} (${standing})`],
  }))
}
