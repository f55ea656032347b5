import { at } from './at.ts'
import { startNode } from './flat.ts'
import type { Neighbors } from './neighbors.ts'
import type { PlanState } from './plan-state.ts'
import type { Random } from './random.ts'

/** Sizes of a ruin: visits taken out on average, longest string, chance of a string with a gap, of a longer gap. */
export type RuinSize = {
  readonly average: number
  readonly longest: number
  /** The same two while lateness and visits left out make up most of the cost. */
  readonly strainedAverage: number
  readonly strainedLongest: number
  readonly split: number
  readonly lengthen: number
}

const SKIP_PATIENT = 0.5

/**
 * Takes strings of consecutive visits out of neighbouring routes (slack induction by string removals: Christiaens &
 * Vanden Berghe 2020).
 */
export class Ruin {
  /** While most of the cost is lateness and visits left out, short strings do better: every minute pushes others. */
  isStrained = false
  private readonly state: PlanState
  private readonly neighbors: Neighbors
  private readonly random: Random
  private readonly size: RuinSize
  private readonly ruined: Int32Array
  private readonly tour: Int32Array
  private round = 0

  constructor(state: PlanState, neighbors: Neighbors, random: Random, size: RuinSize) {
    this.state = state
    this.neighbors = neighbors
    this.random = random
    this.size = size
    this.ruined = new Int32Array(state.p.routes)
    this.tour = new Int32Array(state.p.visits)
  }

  private get average(): number {
    return this.isStrained ? this.size.strainedAverage : this.size.average
  }

  private get longest(): number {
    return this.isStrained ? this.size.strainedLongest : this.size.longest
  }

  /** Removes one to a few strings around a random visit. */
  strings(): void {
    const { state, random } = this
    const { visits, routes } = state.p
    let given = 0
    let used = 0
    for (let k = 0; k < routes; k++) {
      given += at(state.size, k)
      if (at(state.size, k) > 0) used++
    }
    if (used === 0) return
    const longest = Math.min(this.longest, given / used)
    const most = (4 * this.average) / (1 + longest) - 1
    const strings = Math.floor(1 + random.unit() * most)
    this.round++
    let done = 0
    const seed = random.below(visits)
    if (this.stringAround(seed, longest)) done++
    const from = seed * this.neighbors.width
    for (let i = 0; i < this.neighbors.width && done < strings; i++)
      if (this.stringAround(at(this.neighbors.order, from + i), longest)) done++
    state.settleRemovals()
  }

  /** Removes a string from a few routes, all around one moment of the shift. */
  moment(): void {
    const { state, random } = this
    const { p } = state
    const seed = random.below(p.visits)
    const home = at(state.route, seed)
    if (home < 0) {
      this.strings()
      return
    }
    const moment = at(state.start, seed)
    const { longest } = this
    const most = (4 * this.average) / (1 + longest) - 1
    let strings = Math.floor(1 + random.unit() * (most + 1))
    this.round++
    this.stringAround(seed, longest)
    const first = random.below(p.routes)
    for (let i = 0; i < p.routes && strings > 1; i++) {
      const k = (first + i) % p.routes
      const v = k === home ? -1 : this.visitAt(k, moment)
      if (v >= 0 && this.stringAround(v, longest)) strings--
    }
    state.settleRemovals()
  }

  /** The visit of route k that starts last before or at the moment, −1 if there is none. */
  private visitAt(k: number, moment: number): number {
    const { state } = this
    const { p } = state
    let found = -1
    for (
      let b = at(state.next, startNode(p, k));
      b >= 0 && at(state.start, b) <= moment;
      b = at(state.next, b)
    )
      if (b < p.visits) found = b
    return found
  }

  /** Empties the route of a random visit. */
  wholeRoute(): void {
    const { state, random } = this
    const k = at(state.route, random.below(state.p.visits))
    if (k < 0) return
    const count = at(state.size, k)
    this.readTour(k, -1)
    this.removeRun(0, count, 0, 0)
    state.settleRemovals()
  }

  /** Removes every dose of a few patients who are near each other in place and time. */
  patients(): void {
    const { state, random } = this
    const { p } = state
    const target = 1 + random.below(2 * this.average)
    const seed = random.below(p.visits)
    let removed = this.removePatient(at(p.group, seed))
    const from = seed * this.neighbors.width
    for (let i = 0; i < this.neighbors.width && removed < target; i++) {
      if (random.unit() < SKIP_PATIENT) continue
      removed += this.removePatient(at(p.group, at(this.neighbors.order, from + i)))
    }
    state.settleRemovals()
  }

  private removePatient(g: number): number {
    const { state } = this
    const { doses, doseFrom } = state.p
    let removed = 0
    for (let i = at(doseFrom, g); i < at(doseFrom, g + 1); i++) {
      if (at(state.route, at(doses, i)) < 0) continue
      state.remove(at(doses, i))
      removed++
    }
    return removed
  }

  private stringAround(v: number, longest: number): boolean {
    const { state, random } = this
    const k = at(state.route, v)
    if (k < 0 || at(this.ruined, k) === this.round) return false
    this.ruined[k] = this.round
    const length = Math.floor(1 + random.unit() * Math.min(at(state.size, k), longest))
    const place = this.readTour(k, v)
    if (length > 1 && length < at(state.size, k) && random.unit() < this.size.split)
      this.splitString(k, place, length)
    else this.removeRun(this.runStart(place, length, at(state.size, k)), length, 0, 0)
    return true
  }

  /** Copies the visits of a route into `tour`; gives the place of v among them. */
  private readTour(k: number, v: number): number {
    const { state } = this
    const { p } = state
    let count = 0
    let place = 0
    for (let b = at(state.next, startNode(p, k)); b >= 0; b = at(state.next, b)) {
      if (b >= p.visits) continue
      if (b === v) place = count
      this.tour[count++] = b
    }
    return place
  }

  private runStart(place: number, length: number, size: number): number {
    const lowest = Math.max(0, place - length + 1)
    const highest = Math.min(place, size - length)
    return lowest + this.random.below(highest - lowest + 1)
  }

  private splitString(k: number, place: number, length: number): void {
    const size = at(this.state.size, k)
    let kept = 1
    while (length + kept < size && this.random.unit() > this.size.lengthen) kept++
    const from = this.runStart(place, length + kept, size)
    this.removeRun(from, length + kept, 1 + this.random.below(length - 1), kept)
  }

  /** Removes `length` visits from `from` on, but keeps `kept` of them after the first `lead`. */
  private removeRun(from: number, length: number, lead: number, kept: number): void {
    for (let i = 0; i < length; i++)
      if (i < lead || i >= lead + kept) this.state.remove(at(this.tour, from + i))
  }
}
