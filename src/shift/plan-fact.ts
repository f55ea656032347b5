import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import type { Chart } from '../chart/folds/chart.ts'
import type { BodyOf } from '../chart/registry.ts'
import type { PricedPlan, TherapistSchedule } from '../rounds/index.ts'
import type { ShiftProblem } from './problem.ts'
import { instantIn } from './shift-span.ts'

type Issued = BodyOf<'plan-issued'>

export type PlanMaking = {
  readonly because: Issued['because']
  readonly seed: number
  readonly bound: number | null
  readonly proved: boolean
  /** The adoption of the planning policy in force; null for the program's own. */
  readonly policyFact: string | null
  /** Plans that stood beside the one it follows, and that it puts an end to. */
  readonly inPlaceOf?: readonly string[]
}

/**
 * A plan as the body of a fact to be given out: everybody's stops from now on, with the promised times, and what it was
 * made of. What is done already is left to the record.
 */
export function planFact(
  problem: ShiftProblem,
  priced: Pick<PricedPlan, 'schedule' | 'dropped' | 'total'>,
  chart: Chart,
  making: PlanMaking,
): Issued {
  const { span, plan, stays } = problem
  const ids = idsBehind(chart, problem)
  const { because, seed, bound, proved, policyFact } = making
  return {
    from: span.from,
    to: span.to,
    basedOn: {
      planId: plan?.planId ?? null,
      inPlaceOf: [...(making.inPlaceOf ?? [])],
      factsHash: bytesToHex(sha256(utf8ToBytes(ids.join('\n')))),
      facts: ids.length,
    },
    because,
    seed,
    policyFact,
    routes: priced.schedule.map((route) => routeOf(route, problem)),
    leftOut: stays
      .filter(({ visit }) => priced.dropped.includes(visit))
      .map(({ visit, patientId, doses }) => ({ visit, patientId, doses: doses.map(bare) })),
    price: { total: priced.total, bound, proved },
  }
}

/** Facts known of the patients, orders and people of a problem, in the order of their ids. Plans are not among them. */
function idsBehind(chart: Chart, { stays, done, crew, span }: ShiftProblem): string[] {
  const patients = new Set([...stays, ...done].map(({ patientId }) => patientId))
  const facts = [
    ...[...patients].flatMap((id) => chart.factsAbout('patient', id)),
    ...crew.flatMap(({ personId }) => chart.factsAbout('person', personId)),
    ...chart.factsAbout('shift', span.shiftId).filter(({ kind }) => kind !== 'plan-issued'),
  ]
  return [...new Set(facts.map(({ id }) => id))].sort()
}

type Route = Issued['routes'][number]

function routeOf({ therapist, stops }: TherapistSchedule, { span, minute, stays }: ShiftProblem): Route {
  return {
    personId: therapist,
    stops: stops.flatMap(({ visit, start, end }): Route['stops'] => {
      const times = { startAt: instantIn(span, start), endAt: instantIn(span, end) }
      if (visit === null) return end <= minute ? [] : [{ kind: 'break', ...times }]
      const stay = stays.find((each) => each.visit === visit)
      if (!stay) return []
      return [{ kind: 'visit', visit, patientId: stay.patientId, doses: stay.doses.map(bare), ...times }]
    }),
  }
}

function bare({ orderId, doseAt, callId }: ShiftProblem['stays'][number]['doses'][number]) {
  return { orderId, doseAt, callId }
}
