import type { Formulary } from '../formulary/formulary.ts'
import {
  checkHistory,
  type DayTotal,
  type GivenDose,
  type HistoryCheck,
  type ProposedDose,
} from '../timing/dose-history.ts'
import { byRule, type Draft, draft, drafted, type Finding, findingsOf, ruleOf } from './finding.ts'

/**
 * What was given before against a dose that is about to be given: too early, too much in any 24 hours, and every
 * dose on record that could not be counted. An acute order goes beyond the routine total on purpose: that is shown
 * and not asked.
 * @throws BadInput as `checkHistory`
 */
export function historyFindings(
  formulary: Formulary,
  proposed: ProposedDose,
  history: readonly GivenDose[],
): readonly Finding[] {
  const { gap, totals } = checkHistory(formulary, proposed, history)
  const name = formulary.medicine(proposed.medicineId)?.name ?? proposed.medicineId
  return findingsOf([
    ...gapDrafts(formulary, proposed, gap, name),
    ...totals.flatMap((total) => [
      ...overDrafts(formulary, proposed, total),
      ...uncountedDrafts(formulary, total),
    ]),
  ])
}

function gapDrafts(
  formulary: Formulary,
  { medicineId, acute }: ProposedDose,
  { tooEarly, minutesToNearest, shortestMinutes }: HistoryCheck['gap'],
  name: string,
): Draft[] {
  if (!tooEarly) return []
  const timing = formulary.medicine(medicineId)?.timing
  const published = acute ? timing?.gapAcute : timing?.gapRoutine
  const rule = ruleOf(formulary, 'too-early')
  return [
    drafted(
      {
        code: `too-early:${medicineId}`,
        severity: rule?.severity ?? 'ask',
        what: `${name}: ${Math.round(minutesToNearest ?? 0)} min from the nearest dose; the shortest ${acute ? 'acute' : 'routine'} gap is ${shortestMinutes} min`,
        why: 'counted from start to start of treatments with the same drug, by any order',
        whoMustAnswer: rule?.whoMustAnswer ?? 'prescriber',
      },
      [...(published ? formulary.sources(published) : []), ...(rule ? formulary.sources(rule) : [])],
    ),
  ]
}

function overDrafts(formulary: Formulary, { acute }: ProposedDose, day: DayTotal): Draft[] {
  const { medicineId, total, most, over } = day
  if (!over || most === null) return []
  const rule = ruleOf(formulary, 'over-24-hours')
  const name = formulary.medicine(medicineId)?.name ?? medicineId
  return [
    drafted(
      {
        code: `over-24-hours:${medicineId}`,
        severity: acute ? 'note' : (rule?.severity ?? 'ask'),
        what: `${name}: with this dose 24 hours would hold ${total.value} ${total.unit}; the published most is ${most.value} ${total.unit}`,
        why: [...total.steps, ...(most.note ? [most.note] : [])].join('; '),
        whoMustAnswer: rule?.whoMustAnswer ?? 'prescriber',
      },
      [...formulary.sources(most.entry), ...(rule ? formulary.sources(rule) : [])],
    ),
  ]
}

/** Doses on record that the total leaves out: the therapist must know that it may be higher. */
function uncountedDrafts(formulary: Formulary, { medicineId, uncounted, total }: DayTotal): Draft[] {
  if (uncounted.length === 0) return []
  const name = formulary.medicine(medicineId)?.name ?? medicineId
  return [
    draft(
      formulary,
      {
        code: `uncounted:${medicineId}`,
        severity: 'caution',
        what: `${name}: the total of 24 hours (${total.value} ${total.unit}) leaves out doses on record; it may be higher`,
        why: uncounted.join('; '),
        whoMustAnswer: 'pharmacist',
      },
      byRule('total-rule'),
    ),
  ]
}
