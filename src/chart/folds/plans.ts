import { canonicalJson } from '../canonical.ts'
import type { AnyFact, BodyOf } from '../registry.ts'
import { standing } from './standing.ts'

/** A plan as it was given out: its id is that of its fact. */
export type PlanState = BodyOf<'plan-issued'> & {
  readonly planId: string
  readonly issuedAt: string
  readonly issuedBy: string
  readonly device: string
}

/** A visit that somebody has asked to leave with a person, and perhaps at a time. */
export type PinState = BodyOf<'visit-pinned'> & {
  readonly pinId: string
  readonly device: string
  readonly at: string
  readonly by: string
  readonly patientId: string
}

/** What was planned for a shift. */
export type ShiftPlans = {
  readonly shiftId: string
  /** Every plan that was given out, oldest first. */
  readonly plans: readonly PlanState[]
  /** The one plan that none follows; null before the first, and while two stand side by side. */
  readonly inForce: PlanState | null
  /** Plans that stand side by side because each was made without the other: at least two, or none. A person decides. */
  readonly contested: readonly PlanState[]
  /** The last plan that all of them follow: what still holds while they are contested. */
  readonly agreed: PlanState | null
  /** The last word on each pinned visit. */
  readonly pins: readonly PinState[]
  /**
   * Of visits that were pinned differently by people who did not know of each other: all that they said, oldest first.
   * The last one counts until somebody who knows them all pins the visit again, or takes the pin off.
   */
  readonly pinsApart: readonly (readonly PinState[])[]
}

type Issue = Extract<AnyFact, { kind: 'plan-issued' }>

/** Facts about one shift to its plans. The same facts in any order give the same answer; none is chosen over another. */
export function foldPlans(shiftId: string, facts: Iterable<AnyFact>): ShiftPlans {
  const all = standing(facts)
  const issues = all.filter((fact) => fact.kind === 'plan-issued')
  const plans = issues.map(planOf)
  const same = alike(plans)
  const ended = new Set(
    plans
      .flatMap(({ basedOn }) => [basedOn.planId, ...basedOn.inPlaceOf])
      .flatMap((id) => (id === null ? [] : same(id))),
  )
  const heads = plans.filter(({ planId }) => !ended.has(same(planId)) && same(planId) === planId)
  const [only] = heads
  const pinned = pinsOf(all)
  return {
    shiftId,
    plans,
    inForce: heads.length === 1 ? (only ?? null) : null,
    contested: heads.length > 1 ? heads : [],
    agreed: heads.length === 1 ? (only ?? null) : lastShared(heads, plans, same),
    pins: pinned.flatMap((heads) => heads.at(-1) ?? []),
    pinsApart: pinned.filter((heads) => heads.length > 1),
  }
}

function planOf(fact: Issue): PlanState {
  const { id, happenedAt, by, device, body } = fact
  return { ...body, planId: id, issuedAt: happenedAt, issuedBy: by.personId, device }
}

type Same = (planId: string) => string

/**
 * Two devices that make the very same plan on the same base have not contradicted each other: such plans count as one,
 * named by the smallest id. Gives, for a plan's id, the id that stands for it.
 */
function alike(plans: readonly PlanState[]): Same {
  const byId = new Map(plans.map((plan) => [plan.planId, plan]))
  const stands = new Map<string, string>()
  const firstOf = new Map<string, string>()
  const nameOf = (id: string, above: ReadonlySet<string>): string => {
    const known = stands.get(id)
    const plan = byId.get(id)
    if (known !== undefined || plan === undefined || above.has(id)) return known ?? id
    const { basedOn, routes, leftOut } = plan
    const base = basedOn.planId === null ? null : nameOf(basedOn.planId, new Set([...above, id]))
    const content = canonicalJson([base, [...basedOn.inPlaceOf].sort(), routes, leftOut])
    const name = firstOf.get(content) ?? id
    firstOf.set(content, name)
    stands.set(id, name)
    return name
  }
  for (const { planId } of [...plans].sort((a, b) => (a.planId < b.planId ? -1 : 1)))
    nameOf(planId, new Set())
  return (id) => stands.get(id) ?? id
}

/** The nearest plan that every one of these was made after. */
function lastShared(heads: readonly PlanState[], plans: readonly PlanState[], same: Same): PlanState | null {
  const byId = new Map(plans.map((plan) => [plan.planId, plan]))
  const lines = heads.map((head) => lineOf(head, byId, same))
  const [first, ...others] = lines
  const shared = first?.find((id) => others.every((line) => line.includes(id)))
  return (shared !== undefined && byId.get(shared)) || null
}

function lineOf(head: PlanState, byId: ReadonlyMap<string, PlanState>, same: Same): string[] {
  const line: string[] = []
  let at = head.basedOn.planId
  while (at !== null && !line.includes(same(at))) {
    line.push(same(at))
    at = byId.get(same(at))?.basedOn.planId ?? null
  }
  return line
}

/** By visit, what was said of it that nobody has replaced, oldest first; visits that are free again are not among them. */
function pinsOf(facts: readonly AnyFact[]): PinState[][] {
  const pins = new Map<string, PinState[]>()
  for (const fact of facts) {
    if (fact.kind === 'visit-unpinned') pins.delete(fact.body.visit)
    if (fact.kind !== 'visit-pinned') continue
    const { id, happenedAt, by, device, body, about } = fact
    const pin = {
      ...body,
      pinId: id,
      device,
      at: happenedAt,
      by: by.personId,
      patientId: about.patientId ?? '',
    }
    const others = (pins.get(body.visit) ?? []).filter(
      (known) =>
        body.inPlaceOf !== undefined && !body.inPlaceOf.includes(known.pinId) && !saysTheSame(known, pin),
    )
    pins.delete(body.visit)
    pins.set(body.visit, [...others, pin])
  }
  return [...pins.values()]
}

function saysTheSame(a: PinState, b: PinState): boolean {
  return a.personId === b.personId && a.startAt === b.startAt
}
