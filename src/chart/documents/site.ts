import { z } from 'zod'
import { CUP_KINDS } from '../../clinical/aerosol/cup-kinds.ts'
import { isTimeZone } from '../timing/zone.ts'
import defaults from './data/site.json' with { type: 'json' }
import {
  ClockTime,
  type DocumentProblem,
  defineDocument,
  Id,
  repeated,
  StatedSources,
  sourceProblems,
  Text,
} from './document-kind.ts'

const Permission = z.strictObject({ allowed: z.boolean(), conditions: z.array(Text), source: Id })

/** How this hospital does what hospitals do differently. */
const Site = z.strictObject({
  facilityName: Text,
  timeZone: z.string().refine(isTimeZone, 'an IANA time zone, for example America/Chicago'),
  shifts: z.strictObject({ dayFrom: ClockTime, nightFrom: ClockTime }),
  /** Treatments that one therapist may have running at a time; above one only under the conditions. */
  severalAtOnce: z.strictObject({
    maximumRunning: z.int().min(1).max(6),
    conditions: z.array(Text),
    source: Id,
  }),
  mayLeaveDuringRun: Permission,
  /** Idle minutes after which a tablet locks itself. */
  lockAfterMinutes: z.int().min(1).max(60),
  /** Whether nebulizing counts as aerosol-generating, by isolation category. */
  nebulizingIsAerosolGenerating: z.strictObject({
    byCategory: z.array(z.strictObject({ category: Id, counts: z.boolean() })),
    source: Id,
  }),
  /** What the wristband's code carries. A second identifier that the patient states is always asked for. */
  wristband: z.strictObject({
    carries: z.enum(['patient GSRN', 'record number', 'either']),
    source: Id,
  }),
  /** What a scanner that types sends in place of the separator (ASCII 29); null when it sends the separator. */
  scannerSeparatorSubstitute: z.string().length(1).nullable(),
  /** How long what was prepared may wait to be given; absent in documents from before it was asked for. */
  useWithinMinutes: z.strictObject({ minutes: z.int().min(5).max(1440), source: Id }).exactOptional(),
  cupChangeEveryHours: z.strictObject({
    byKind: z.partialRecord(
      z.enum(CUP_KINDS),
      z
        .number()
        .positive()
        .max(24 * 62),
    ),
    source: Id,
  }),
  sources: StatedSources,
})
export type Site = z.infer<typeof Site>

function check(site: Site): DocumentProblem[] {
  const named = [
    ['severalAtOnce', site.severalAtOnce],
    ['mayLeaveDuringRun', site.mayLeaveDuringRun],
    ['nebulizingIsAerosolGenerating', site.nebulizingIsAerosolGenerating],
    ['wristband', site.wristband],
    ['cupChangeEveryHours', site.cupChangeEveryHours],
    ...(site.useWithinMinutes ? ([['useWithinMinutes', site.useWithinMinutes]] as const) : []),
  ] as const
  return [
    ...sourceProblems(
      site.sources,
      named.map(([where, { source }]) => ({ where, key: source })),
    ),
    ...repeated(
      'nebulizingIsAerosolGenerating.byCategory',
      site.nebulizingIsAerosolGenerating.byCategory.map(({ category }) => category),
    ),
    ...conditionsStated(site),
    ...(site.shifts.dayFrom < site.shifts.nightFrom
      ? []
      : [{ where: 'shifts', what: 'the day shift must begin earlier in the day than the night shift' }]),
    ...separatorProblems(site.scannerSeparatorSubstitute),
  ]
}

function conditionsStated({ severalAtOnce, mayLeaveDuringRun }: Site): DocumentProblem[] {
  const problems: DocumentProblem[] = []
  if (severalAtOnce.maximumRunning > 1 && severalAtOnce.conditions.length === 0)
    problems.push({ where: 'severalAtOnce.conditions', what: 'more than one at a time needs its conditions' })
  if (mayLeaveDuringRun.allowed && mayLeaveDuringRun.conditions.length === 0)
    problems.push({ where: 'mayLeaveDuringRun.conditions', what: 'leaving a run needs its conditions' })
  return problems
}

/** A substitute that may itself stand in a code would cut lots and serials in two. */
function separatorProblems(substitute: string | null): DocumentProblem[] {
  const canStandInACode = substitute !== null && /[A-Za-z0-9!"%&'()*+,\-./:;<=>?_]/.test(substitute)
  if (!canStandInACode) return []
  return [
    {
      where: 'scannerSeparatorSubstitute',
      what: `${substitute} may stand in a lot or serial number (GS1 set of 82 characters); choose another`,
    },
  ]
}

/** How long what was prepared may wait to be given, where the department has not said [min]. Design rule. */
const USE_WITHIN_MINUTES = 60

/** Until when a preparation may be used, by the department's policy: an instant. */
export function usableUntil(site: Site, preparedAt: string): string {
  const minutes = site.useWithinMinutes?.minutes ?? USE_WITHIN_MINUTES
  return new Date(Date.parse(preparedAt) + minutes * 60_000).toISOString()
}

export const SITE = defineDocument({
  name: 'site',
  title: 'The hospital and its ways',
  schema: Site,
  defaults,
  check,
})
