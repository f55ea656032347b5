import { z } from 'zod'
import defaults from './data/planning-policy.json' with { type: 'json' }
import {
  type DocumentProblem,
  defineDocument,
  Id,
  repeated,
  StatedSources,
  sourceProblems,
} from './document-kind.ts'

const Points = z.int().min(0).max(1_000_000)
const Minutes = z
  .int()
  .min(0)
  .max(24 * 60)
const Percent = z.number().min(0).max(100)
const Priority = z.union([z.literal(1), z.literal(2), z.literal(3), z.literal(4)])
const byPriority = (value: z.ZodInt) => z.strictObject({ '1': value, '2': value, '3': value, '4': value })

/** Ranks in which rooms are entered, from those to protect to those to protect others from. */
export const ISOLATION_RANKS = ['protective', 'none', 'droplet or contact', 'airborne'] as const
const Four = <Item extends z.ZodType>(item: Item) => z.tuple([item, item, item, item])

/** What a plan costs in penalty points: the department's own weighing of what can go wrong. */
const Weights = z.strictObject({
  leftOut: byPriority(Points),
  latePerMinute: byPriority(Points),
  /** Going straight from a room of one rank (row) to one of another (column). */
  isolationOrder: z.strictObject({ ranks: Four(z.enum(ISOLATION_RANKS)), points: Four(Four(Points)) }),
  /** Each further therapist that a patient sees in the shift. */
  handover: Points,
  walkPerMinute: Points,
  /** Per minute of whoever has most to do. */
  largestLoadPerMinute: Points,
  otherTherapist: Points,
  laterThanPromisedPerMinute: Points,
  source: Id,
})

/** What the planner weighs, keeps and reckons with. */
const PlanningPolicy = z.strictObject({
  weights: Weights,
  promises: z.strictObject({
    toleranceMinutes: Minutes,
    /** Visits that begin within so many minutes are not moved. */
    frozenMinutes: Minutes,
    /** A better plan is offered when it saves at least so many points beyond what it disturbs. */
    leastGain: Points,
    source: Id,
  }),
  /** 1 is the most urgent. An order marked to be given as soon as possible is at most `asapAtMost`. */
  priorities: z.strictObject({
    stat: Priority,
    call: z.strictObject({ now: Priority, soon: Priority, 'when you can': Priority }),
    continuous: Priority,
    first: Priority,
    once: Priority,
    'time-critical': Priority,
    'more-often-than-daily': Priority,
    'daily-or-longer': Priority,
    asapAtMost: Priority,
    source: Id,
  }),
  /** Begins within this window, counted from the start of the person's shift; none in a shift under so many minutes. */
  break: z.strictObject({
    minutes: Minutes,
    earliestAfterMinutes: Minutes,
    latestAfterMinutes: Minutes,
    noneUnderMinutes: Minutes,
    source: Id,
  }),
  /** How long things take before the department's own visits have been counted. */
  times: z.strictObject({
    preparingMinutes: Minutes,
    measuringBeforeMinutes: Minutes,
    measuringAfterMinutes: Minutes,
    chartingMinutes: Minutes,
    runMinutesWhenUnknown: Minutes.min(1),
    /** Putting on before and taking off after, together. */
    protectiveEquipment: z.array(z.strictObject({ category: Id, minutes: Minutes })),
    /** Scatter of a stay and of a walk about what is planned, as a share of it. */
    spreadPercent: Percent,
    walkSpreadPercent: Percent,
    source: Id,
  }),
  learning: z.strictObject({
    fromDays: z.int().min(1).max(365),
    priorVisits: z.number().min(0).max(1000),
    source: Id,
  }),
  visits: z.strictObject({
    /** Doses of one patient whose due times lie no further apart are given in one stay. */
    togetherWithinMinutes: Minutes,
    /** Where no later dose sets an end, a dose may be given so long after its window. */
    lateAtMostMinutes: Minutes,
    /** Where leaving a run is allowed: the therapist is back within so many minutes of its end. */
    finishWithinMinutes: Minutes,
    /** Whether only those assigned to a unit may be planned there; else everybody who is signed off. */
    assignedUnits: z.enum(['shown only', 'a rule']),
    source: Id,
  }),
  callsOnTimeWithinMinutes: z.strictObject({
    now: Minutes,
    soon: Minutes,
    'when you can': Minutes,
    source: Id,
  }),
  /** What is accepted when the number of therapists is reckoned. */
  staffing: z.strictObject({
    leftOutAtMost: byPriority(z.int().min(0).max(1000)),
    latePercentAtMost: Percent,
    source: Id,
  }),
  chance: z.strictObject({ likelyFromPercent: Percent, doubtfulBelowPercent: Percent, source: Id }),
  sources: StatedSources,
})
export type PlanningPolicy = z.infer<typeof PlanningPolicy>

const SOURCED = [
  'weights',
  'promises',
  'priorities',
  'break',
  'times',
  'learning',
  'visits',
  'callsOnTimeWithinMinutes',
  'staffing',
  'chance',
] as const

function check(policy: PlanningPolicy): DocumentProblem[] {
  const { break: pause, chance, times, weights } = policy
  return [
    ...repeated(
      'times.protectiveEquipment',
      times.protectiveEquipment.map(({ category }) => category),
    ),
    ...rankProblems(weights.isolationOrder.ranks),
    ...fallingProblems('weights.leftOut', weights.leftOut),
    ...fallingProblems('weights.latePerMinute', weights.latePerMinute),
    ...(pause.earliestAfterMinutes <= pause.latestAfterMinutes
      ? []
      : [{ where: 'break', what: 'its earliest beginning lies after its latest' }]),
    ...(pause.latestAfterMinutes <= pause.noneUnderMinutes
      ? []
      : [{ where: 'break', what: 'it could fall after the end of the shortest shift that has one' }]),
    ...(chance.doubtfulBelowPercent <= chance.likelyFromPercent
      ? []
      : [{ where: 'chance', what: 'doubtful lies above likely' }]),
    ...sourceProblems(
      policy.sources,
      SOURCED.map((where) => ({ where, key: policy[where].source })),
    ),
  ]
}

/** The rows and columns are read by place, so the ranks must stand in their order. */
function rankProblems(ranks: readonly string[]): DocumentProblem[] {
  if (ranks.every((rank, at) => rank === ISOLATION_RANKS[at])) return []
  return [{ where: 'weights.isolationOrder.ranks', what: `must stand as ${ISOLATION_RANKS.join(', ')}` }]
}

/** What is more urgent may not weigh less. */
function fallingProblems(
  where: string,
  by: Readonly<Record<'1' | '2' | '3' | '4', number>>,
): DocumentProblem[] {
  const values = [by['1'], by['2'], by['3'], by['4']]
  return values.every((value, at) => at === 0 || value <= (values[at - 1] ?? value))
    ? []
    : [{ where, what: 'a less urgent visit weighs more than a more urgent one' }]
}

export const PLANNING_POLICY = defineDocument({
  name: 'planning-policy',
  title: 'Planning policy',
  schema: PlanningPolicy,
  defaults,
  check,
})
