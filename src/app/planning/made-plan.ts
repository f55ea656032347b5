import type { Chart } from '../../chart/folds/chart.ts'
import type { BodyOf } from '../../chart/registry.ts'
import type { Day } from '../../rounds/day.ts'
import { type Overload, overloadText } from '../../rounds/index.ts'
import type { PromiseChange } from '../../rounds/promise.ts'
import type { Pin, Standing } from '../../rounds/standing.ts'
import { planFact } from '../../shift/index.ts'
import { sayFor } from './change-picture.ts'
import { drawPlan, type ToDraw } from './draw-plan.ts'
import { counted } from './in-words.ts'
import type { Issue, Trial } from './messages.ts'
import type { PlanningBase } from './planning-base.ts'

/** A plan as the planner made it. Costs are those of what is still open; the bound is below none of it. */
export type Made = {
  readonly day: Day
  readonly standing: Standing
  readonly dropped: readonly string[]
  /** Penalty points of the whole day. */
  readonly total: number
  readonly cost: number | null
  readonly bound: number | null
  readonly overloads: readonly Overload[]
  /** Promises of the plan given out that are not kept as they were shown. */
  readonly changes: readonly PromiseChange[]
}

/** Said in the same place, so that nothing below moves when more is known. */
const NOT_KNOWN = 'How far this is from the best possible is not known.'

/** How near to the best possible a plan is, never nearer than is proved. */
export function nearness({ cost, bound }: Pick<Made, 'cost' | 'bound'>): string {
  if (cost === null || bound === null) return NOT_KNOWN
  if (bound >= cost) return 'No better plan is possible.'
  const percent = Math.ceil(((cost - bound) / Math.max(1, cost)) * 100)
  // A bound this loose says nothing that anybody could use.
  return percent > 50 ? NOT_KNOWN : `At most ${percent} % from the best possible.`
}

export function toDraw(base: PlanningBase, made: Made): ToDraw {
  return {
    day: made.day,
    dropped: made.dropped,
    changes: made.changes,
    nearness: nearness(made),
    overloads: made.overloads.map((overload) => overloadText(made.day.shift, overload, sayFor(base))),
  }
}

type Because = BodyOf<'plan-issued'>['because']

/** What is written when a plan is given out: the plan, and the pins that a person set or took off for it. */
export function issueOf(
  base: PlanningBase,
  chart: Chart,
  made: Made,
  because?: Because,
  decided: string | null = null,
): Issue {
  const { total, cost, bound } = made
  return {
    shiftId: base.shiftId,
    plan: planFact(base.problem, { schedule: made.day.schedule, dropped: made.dropped, total }, chart, {
      because: because ?? whyIssued(base, made),
      seed: 1,
      bound: cost === null || bound === null ? null : Math.max(0, total - (cost - bound)),
      proved: cost !== null && bound !== null && bound >= cost,
      policyFact: base.policyFact,
      inPlaceOf: base.inPlaceOf,
    }),
    pins: newPins(base, made, decided).flatMap((pin) => pinBody(base, pin)),
    unpins: base.day.pins
      .filter(({ visit }) => !made.day.pins.some((pin) => pin.visit === visit))
      .flatMap(({ visit }) => {
        const stay = base.stays.get(visit)
        return stay
          ? [
              {
                patientId: stay.patientId,
                body: { visit, doses: [...stay.doses], why: 'free to be planned' },
              },
            ]
          : []
      }),
  }
}

/** The newest facts and words that a plan names as its cause: as many as fit. */
const NAMED = { facts: 200, letters: 400 }

function whyIssued(base: PlanningBase, { changes }: Made): Because {
  const words = [
    ...base.since.map((each) => each.words),
    counted(changes.length, 'promise changes', 'promises change'),
  ].join('; ')
  return {
    kind: base.planId === null ? 'start' : base.contested ? 'settled' : 'event',
    factIds: base.since.slice(-NAMED.facts).map(({ factId }) => factId),
    words: words.length > NAMED.letters ? `${words.slice(0, NAMED.letters - 1)}…` : words,
  }
}

/** Pins that nobody set before, and that of the visit just decided about where people had placed it differently. */
function newPins(base: PlanningBase, { day }: Made, decided: string | null): Pin[] {
  const same = (a: Pin, b: Pin) => a.visit === b.visit && a.therapist === b.therapist && a.start === b.start
  const isApart = (visit: string) => (base.pinIds.get(visit)?.length ?? 0) > 1
  return day.pins.filter(
    (pin) =>
      !base.day.pins.some((known) => same(known, pin)) || (pin.visit === decided && isApart(pin.visit)),
  )
}

function pinBody(base: PlanningBase, { visit, therapist, start }: Pin): Issue['pins'][number][] {
  const stay = base.stays.get(visit)
  if (!stay) return []
  return [
    {
      patientId: stay.patientId,
      body: {
        visit,
        doses: [...stay.doses],
        personId: therapist,
        startAt: start === undefined ? null : base.instant(start),
        why: 'placed by hand',
        inPlaceOf: [...(base.pinIds.get(visit) ?? [])].slice(-20),
      },
    },
  ]
}

/** A plan beside the one shown: what it brings and changes, drawn, and ready to be given out. */
export function trialOf(
  base: PlanningBase,
  chart: Chart,
  trial: Made,
  words: {
    readonly title: string
    readonly brings: readonly string[]
    readonly because: Because
    /** The visit that the decision is about. */
    readonly decided?: string | null
  },
): Trial {
  const picture = drawPlan(base, toDraw(base, trial))
  return {
    title: words.title,
    brings: words.brings,
    changes: picture.changes,
    picture,
    issue: issueOf(base, chart, trial, words.because, words.decided),
  }
}
