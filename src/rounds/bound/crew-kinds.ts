import { at } from '../engine/at.ts'
import { breakNode, endNode, type FlatProblem, startNode } from '../engine/flat.ts'

/**
 * Therapists taken together for a bound: each may do whatever any of them may do, from the earliest start to the latest
 * end, with the widest break window. That only makes plans cheaper, so a bound stays a bound.
 */
export type CrewKind = {
  readonly members: readonly number[]
  /** Per visit: 1 if some member may give it; the least assignment cost among those. */
  readonly allowed: Int32Array
  readonly assign: Int32Array
  readonly startAt: number
  readonly endBy: number
  readonly hasBreak: boolean
  readonly breakEarly: number
  readonly breakLast: number
  readonly breakDuration: number
}

/** Groups therapists who may give the same visits; merges on when there are more kinds than `most`. */
export function crewKinds(p: FlatProblem, most: number): CrewKind[] {
  const bySkill = new Map<string, number[]>()
  for (let k = 0; k < p.routes; k++) {
    const key = Array.from({ length: p.visits }, (_, v) => at(p.allowed, v * p.routes + k)).join('')
    bySkill.set(key, [...(bySkill.get(key) ?? []), k])
  }
  const groups = [...bySkill.values()].sort((a, b) => b.length - a.length)
  while (groups.length > most) {
    const last = groups.pop() as number[]
    const before = groups.pop() as number[]
    groups.push([...before, ...last])
  }
  return groups.map((members) => kindOf(p, members))
}

function kindOf(p: FlatProblem, members: readonly number[]): CrewKind {
  const least = (value: (k: number) => number) => Math.min(...members.map(value))
  const largest = (value: (k: number) => number) => Math.max(...members.map(value))
  const cell = (v: number, k: number) => v * p.routes + k
  const perVisit = (value: (v: number) => number) => Int32Array.from({ length: p.visits }, (_, v) => value(v))
  return {
    members,
    allowed: perVisit((v) => largest((k) => at(p.allowed, cell(v, k)))),
    assign: perVisit((v) => least((k) => at(p.assign, cell(v, k)))),
    startAt: least((k) => at(p.early, startNode(p, k))),
    endBy: largest((k) => at(p.last, endNode(p, k))),
    hasBreak: members.every((k) => at(p.hasBreak, k) === 1),
    breakEarly: least((k) => at(p.early, breakNode(p, k))),
    breakLast: largest((k) => at(p.last, breakNode(p, k))),
    breakDuration: least((k) => at(p.duration, breakNode(p, k))),
  }
}
