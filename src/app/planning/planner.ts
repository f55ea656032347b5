import { Chart } from '../../chart/folds/chart.ts'
import { answerTo } from './answers.ts'
import { drawPlan } from './draw-plan.ts'
import { gains } from './gains.ts'
import { issueOf, type Made, toDraw, trialOf } from './made-plan.ts'
import type { Answer, Ask, FromPlanner, ToPlanner } from './messages.ts'
import type { BaseFound, PlanningBase } from './planning-base.ts'
import { firstPlan, Search } from './search.ts'

/** What the planner is given from outside, so that it runs in a worker, and in a test without one. */
export type PlannerWorld = {
  readonly post: (message: FromPlanner) => void
  /** Makes the problem of the record as it stands at an instant. */
  readonly baseOf: (chart: Chart, at: string) => BaseFound
  /** A clock for measuring [ms]. */
  readonly ticks: () => number
  /** Lets waiting messages in; resolves when they have been taken. */
  readonly rest: () => Promise<void>
}

/** How long is searched after every change [ms], and how often a better plan is drawn at most. */
const SEARCH_MS = 4000
const DRAW_EVERY_MS = 600

/**
 * Keeps a plan true to the record: folds the facts it is sent, repairs the plan in force at once, then searches on in
 * slices and reports what is better. Every change of what it knows begins a new run and ends the one before.
 */
export class Planner {
  readonly #world: PlannerWorld
  readonly #chart = new Chart()
  #run = 0
  #at: string | null = null
  #wanted = true
  #base: PlanningBase | null = null
  #made: Made | null = null

  constructor(world: PlannerWorld) {
    this.#world = world
  }

  take(message: ToPlanner): void {
    switch (message.kind) {
      case 'facts':
        this.#chart.add(message.facts)
        if (!message.more && this.#at !== null) void this.#begin()
        return
      case 'now': {
        const isNews = this.#at === null || message.now.slice(0, 16) !== this.#at.slice(0, 16)
        this.#at = message.now
        if (isNews) void this.#begin()
        return
      }
      case 'search':
        this.#wanted = message.wanted
        if (message.wanted) void this.#begin()
        else this.#run += 1
        this.#world.post({ kind: 'search', share: null })
        return
      case 'ask':
        this.#world.post({ kind: 'answer', id: message.id, answer: this.#answer(message.ask) })
    }
  }

  #answer(ask: Ask): Answer<Ask['what']> {
    if (!this.#base || !this.#made)
      return {
        ok: false,
        what: 'There is no plan yet.',
        todo: 'Wait until it has been made, then ask again.',
      }
    return answerTo(ask, { base: this.#base, made: this.#made, chart: this.#chart, ticks: this.#world.ticks })
  }

  async #begin(): Promise<void> {
    this.#run += 1
    const run = this.#run
    // Facts that come close together are planned for together.
    await this.#world.rest()
    if (run !== this.#run || this.#at === null) return
    const base = this.#world.baseOf(this.#chart, this.#at)
    if (!base.ok) {
      this.#base = null
      this.#world.post({ kind: 'no plan', what: base.what, todo: base.todo })
      return
    }
    this.#base = base.value
    this.#show(firstPlan(base.value), null)
    if (this.#wanted) await this.#searchOn(base.value, run)
  }

  async #searchOn(base: PlanningBase, run: number): Promise<void> {
    const made = this.#made
    if (!made) return
    const { ticks, rest, post } = this.#world
    const from = ticks()
    const search = new Search(base, made, { now: ticks, until: from + SEARCH_MS })
    let drawnAt = from
    let drawnGain = 0
    while (search.step()) {
      await rest()
      if (run !== this.#run) return
      if (ticks() - drawnAt < DRAW_EVERY_MS) continue
      drawnAt = ticks()
      post({ kind: 'search', share: search.share })
      // A plan that nobody was promised yet may change while it is looked at.
      if (base.before !== null || search.gain <= drawnGain) continue
      drawnGain = search.gain
      this.#show(search.best())
    }
    const proved = search.proved(ticks)
    if (base.before === null) this.#show(proved)
    else {
      const { bound, overloads } = proved
      const isWorth = search.gain > base.leastGain * Math.max(1, proved.changes.length)
      this.#show({ ...made, cost: search.startCost, bound, overloads }, isWorth ? proved : null)
    }
    post({ kind: 'search', share: null })
  }

  #show(made: Made, better: Made | null = null): void {
    const base = this.#base
    if (!base) return
    this.#made = made
    this.#world.post({
      kind: 'plan',
      picture: drawPlan(base, toDraw(base, made)),
      issue: issueOf(base, this.#chart, made),
      offer:
        better &&
        trialOf(base, this.#chart, better, {
          title: 'A better plan was found',
          brings: gains(base, made, better),
          because: { kind: 'better', factIds: [], words: gains(base, made, better).join(' ').slice(0, 400) },
        }),
    })
  }
}
