import { Chart } from '../../chart/folds/chart.ts'
import type { PastStay } from '../../shift/index.ts'
import { answerTo } from './answers.ts'
import type { Desk } from './desk.ts'
import { drawPlan } from './draw-plan.ts'
import { gains } from './gains.ts'
import { longAnswer, longWorkOf } from './long-answers.ts'
import type { LongWork, WorkDone } from './long-work.ts'
import { issueOf, type Made, toDraw, trialOf } from './made-plan.ts'
import type { Answer, Ask, FromPlanner, LongAsk, ToPlanner } from './messages.ts'
import type { BaseFound, PlanningBase } from './planning-base.ts'
import { firstPlan, Search } from './search.ts'

/** What the planner is given from outside, so that it runs in a worker, and in a test without one. */
export type PlannerWorld = {
  readonly post: (message: FromPlanner) => void
  /** Makes the problem of the record as it stands at an instant. */
  readonly baseOf: (chart: Chart, at: string, past: readonly PastStay[]) => BaseFound
  /** A clock for measuring [ms]. */
  readonly ticks: () => number
  /** Lets waiting messages in; resolves when they have been taken. */
  readonly rest: () => Promise<void>
  /** Does something long beside the planner; tells the share done, and can be ended. */
  readonly workOn: (work: LongWork, progress: (share: number) => void) => WorkBegun
}

/** Work that has begun: what will come of it, null when it was ended before. */
export type WorkBegun = { readonly done: Promise<WorkDone | null>; readonly end: () => void }

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
  /** Whether the record has come once: before, nothing can be said of the shift. */
  #isFed = false
  #at: string | null = null
  #past: readonly PastStay[] = []
  #wanted = true
  #base: PlanningBase | null = null
  #made: Made | null = null
  readonly #works = new Map<number, WorkBegun>()

  constructor(world: PlannerWorld) {
    this.#world = world
  }

  take(message: ToPlanner): void {
    switch (message.kind) {
      case 'facts':
        this.#chart.add(message.facts)
        if (message.more) return
        this.#isFed = true
        if (this.#at !== null) void this.#begin()
        return
      case 'forget':
        this.#chart.forget(message.patientIds)
        if (this.#at !== null) void this.#begin()
        return
      case 'now': {
        const isNews = this.#at === null || message.now.slice(0, 16) !== this.#at.slice(0, 16)
        this.#at = message.now
        if (isNews) void this.#begin()
        return
      }
      case 'past': {
        const isFirst = this.#past.length === 0
        this.#past = message.stays
        if (isFirst && this.#at !== null) void this.#begin()
        return
      }
      case 'search':
        this.#wanted = message.wanted
        if (message.wanted) void this.#begin()
        else this.#run += 1
        this.#world.post({ kind: 'search', share: null })
        return
      case 'ask':
        void this.#answer(message)
        return
      case 'stop':
        this.#works.get(message.id)?.end()
    }
  }

  async #answer({ id, ask }: Extract<ToPlanner, { kind: 'ask' }>): Promise<void> {
    const post = (answer: Answer<Ask['what']>) => this.#world.post({ kind: 'answer', id, answer })
    if (!this.#base || !this.#made) return post(NO_PLAN)
    const desk: Desk = { base: this.#base, made: this.#made, chart: this.#chart }
    try {
      if (!isLong(ask)) return post(answerTo(ask, desk))
      const done = await this.#workOn(id, longWorkOf(ask, desk))
      post(done === null ? STOPPED : longAnswer(desk, done))
    } catch (error) {
      post({
        ok: false,
        what: `It could not be worked out: ${wordsOf(error)}.`,
        todo: 'The plan stays as it is.',
      })
    }
  }

  async #workOn(id: number, work: LongWork): Promise<WorkDone | null> {
    const begun = this.#world.workOn(work, (share) => this.#world.post({ kind: 'working', id, share }))
    this.#works.set(id, begun)
    try {
      return await begun.done
    } finally {
      this.#works.delete(id)
    }
  }

  async #begin(): Promise<void> {
    this.#run += 1
    const run = this.#run
    // Facts that come close together are planned for together.
    await this.#world.rest()
    if (run !== this.#run || this.#at === null || !this.#isFed) return
    try {
      await this.#plan(this.#at, run)
    } catch (error) {
      this.#base = null
      this.#world.post({
        kind: 'no plan',
        what: `The round could not be planned: ${wordsOf(error)}.`,
        todo: BY_LIST,
      })
    }
  }

  async #plan(at: string, run: number): Promise<void> {
    const base = this.#world.baseOf(this.#chart, at, this.#past)
    if (!base.ok) {
      this.#base = null
      this.#world.post({ kind: 'no plan', what: base.what, todo: base.todo })
      return
    }
    this.#base = base.value
    this.#show(firstPlan(base.value))
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

const BY_LIST = 'The due list is complete and can be worked from. Tell whoever keeps Mistwright running.'
const NO_PLAN = {
  ok: false,
  what: 'There is no plan yet.',
  todo: 'Wait until it has been made, then ask again.',
} as const
const STOPPED = { ok: false, what: 'Stopped.', todo: 'Nothing was changed. Ask again to look on.' } as const

function isLong(ask: Ask): ask is LongAsk {
  return ask.what === 'help' || ask.what === 'staffing' || ask.what === 'afresh'
}

const wordsOf = (error: unknown): string => (error instanceof Error ? error.message : String(error))
