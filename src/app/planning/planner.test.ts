import { describe, expect, it } from 'vitest'
import { DAY, smallWard, type Ward } from '../../../test/support/shift-ward.ts'
import type { AnyFact } from '../../chart/registry.ts'
import { recordReader } from './base-from-record.ts'
import { doLongWork } from './long-work.ts'
import type { Answers, Ask, FromPlanner } from './messages.ts'
import { Planner, type PlannerWorld, type WorkBegun } from './planner.ts'

const NOW = '2026-03-10T12:03:00.000Z'

/** A planner without a worker: everything it says is kept, and its clock runs a little with every look at it. */
class Desk {
  readonly said: FromPlanner[] = []
  readonly planner: Planner
  #ticks = 0
  #asked = 0

  constructor(world: Partial<PlannerWorld> = {}) {
    this.planner = new Planner({
      post: (message) => this.said.push(message),
      baseOf: recordReader(),
      ticks: () => {
        this.#ticks += 40
        return this.#ticks
      },
      rest: () => Promise.resolve(),
      workOn: (work) => this.#atOnce(work),
      ...world,
    })
  }

  #atOnce(work: Parameters<PlannerWorld['workOn']>[0]): WorkBegun {
    const done = doLongWork(work, { ticks: () => 0, progress: () => {} })
    return { done: Promise.resolve(done), end: () => {} }
  }

  /** Tells the planner facts and the time, and waits until it has searched. */
  async tell(facts: readonly AnyFact[], now: string): Promise<this> {
    this.planner.take({ kind: 'now', now })
    this.planner.take({ kind: 'facts', facts, more: false })
    await this.quiet()
    return this
  }

  async quiet(): Promise<void> {
    for (let before = -1; before !== this.said.length; ) {
      before = this.said.length
      await new Promise((resolve) => setTimeout(resolve, 30))
    }
  }

  async ask<Question extends Ask>(ask: Question): Promise<Answers[Question['what']]> {
    this.#asked += 1
    const id = this.#asked
    this.planner.take({ kind: 'ask', id, ask })
    await this.quiet()
    const found = this.said.find((message) => message.kind === 'answer' && message.id === id)
    if (found?.kind !== 'answer') throw new Error('no answer')
    if (!found.answer.ok) throw new Error(`${found.answer.what} ${found.answer.todo}`)
    return found.answer.value as Answers[Question['what']]
  }

  get shown() {
    const last = this.said.findLast((message) => message.kind === 'plan')
    if (last?.kind !== 'plan') throw new Error('no plan was shown')
    return last
  }
}

/** Gives out what a planner shows, as a tablet would. */
function giveOut(ward: Ward, { issue }: Desk['shown'], at: string): AnyFact {
  return ward.at(at).write('plan-issued', { shiftId: issue.shiftId }, issue.plan)
}

describe('a planner', () => {
  it('shows a plan of the record as soon as it knows it and the time', async () => {
    const desk = await new Desk().tell(smallWard().facts, DAY.from)
    expect(desk.shown.picture.standing).toBe('not given out')
    expect(desk.shown.picture.sentence).toMatch(/^Nine visits left\. /)
    expect(desk.said.at(-1)).toEqual({ kind: 'search', share: null })
  })

  it('says that a plan given out holds, and what a call changes of it, at once', async () => {
    const prn = {
      frequency: { code: 'PRNQ2H', everyMinutes: 120, standardTimes: false },
      prn: { reason: 'wheeze', minimumGapMinutes: 120 },
    }
    const ward = smallWard().order('o9', 'p1', prn)
    const desk = await new Desk().tell(ward.facts, DAY.from)
    await desk.tell([giveOut(ward, desk.shown, DAY.from)], '2026-03-10T12:01:00.000Z')
    expect(desk.shown.picture.standing).toBe('given out')
    const call = ward
      .at('2026-03-10T12:02:00.000Z')
      .write('call-received', { patientId: 'p1', orderId: 'o9' }, { from: 'nurse', need: 'now', note: '' })
    const before = desk.said.length
    await desk.tell([call], NOW)
    const [first] = desk.said.slice(before).filter((message) => message.kind === 'plan')
    expect(first?.kind === 'plan' && first.picture).toMatchObject({ standing: 'differs' })
    const { picture, issue } = desk.shown
    expect(picture.since).toHaveLength(1)
    expect(picture.changes.map(({ words }) => words).join('\n')).toMatch(/is added at/)
    expect(issue.plan.because).toMatchObject({ kind: 'event', factIds: [call.id] })
  })

  it('does not search while nobody looks, but keeps the plan true', async () => {
    const desk = new Desk()
    desk.planner.take({ kind: 'search', wanted: false })
    await desk.tell(smallWard().facts, DAY.from)
    expect(desk.said.filter(({ kind }) => kind === 'plan')).toHaveLength(1)
    expect(desk.said.filter((message) => message.kind === 'search' && message.share !== null)).toEqual([])
  })

  it('says nothing of the shift before the record has come, and then that nobody is on it', async () => {
    const desk = new Desk()
    desk.planner.take({ kind: 'now', now: NOW })
    desk.planner.take({ kind: 'past', stays: [] })
    desk.planner.take({ kind: 'facts', facts: [], more: true })
    await desk.quiet()
    expect(desk.said).toEqual([])
    await desk.tell([], NOW)
    expect(desk.said).toMatchObject([{ kind: 'no plan', what: 'Nobody is on this shift.' }])
  })

  it('says in words when the record cannot be planned, and what to do', async () => {
    const broken = () => {
      throw new Error('the base is not on the map')
    }
    const desk = await new Desk({ baseOf: broken }).tell([], DAY.from)
    expect(desk.said.at(-1)).toMatchObject({
      kind: 'no plan',
      what: 'The round could not be planned: the base is not on the map.',
    })
    await expect(desk.ask({ what: 'help' })).rejects.toThrow(/^There is no plan yet\./)
  })

  it('hands everything of one person over, but for what the other may not do', async () => {
    const desk = await new Desk().tell(smallWard().facts, DAY.from)
    const trial = await desk.ask({ what: 'hand all', from: 'amsel', to: 'birke' })
    const left = trial.picture.rounds.find(({ personId }) => personId === 'amsel')?.stops ?? []
    const had = desk.shown.picture.rounds.find(({ personId }) => personId === 'amsel')?.stops ?? []
    // Only amsel is signed off for the unit of the third patient.
    expect(left.filter(({ kind }) => kind === 'visit').length).toBeLessThan(had.length)
    expect(new Set(left.filter(({ kind }) => kind === 'visit').map(({ dose }) => dose?.patientId))).toEqual(
      new Set(['p3']),
    )
    expect(trial.brings.join(' ')).toMatch(/cannot be taken over and stay/)
    expect(trial.issue.pins.every(({ body }) => body.personId === 'birke')).toBe(true)
  })

  it('compares the plan with one in which somebody goes home, and keeps nothing by it', async () => {
    const desk = await new Desk().tell(smallWard().facts, DAY.from)
    const shown = desk.shown
    const answer = await desk.ask({ what: 'goes home', therapist: 'birke', at: 240 })
    const birke = answer.columns.find(({ id }) => id === 'birke')
    expect(birke?.otherwise.filter(({ kind, from }) => kind === 'visit' && from >= 240)).toEqual([])
    expect(answer.at).toBe('11:00')
    expect(desk.shown).toBe(shown)
  })

  it('counts what to carry for one round', async () => {
    const desk = await new Desk().tell(smallWard().facts, DAY.from)
    const lists = await Promise.all([
      desk.ask({ what: 'carry', therapist: 'amsel' }),
      desk.ask({ what: 'carry', therapist: 'birke' }),
    ])
    const doses = lists.flatMap(({ medicines }) => medicines.map((line) => line.doses))
    expect(doses.reduce((sum, each) => sum + each, 0)).toBe(9)
  })

  it('ends long work when it is told to, and says so', async () => {
    let ended = 0
    const workOn = (): WorkBegun => {
      let finish: (done: null) => void = () => {}
      const done = new Promise<null>((resolve) => {
        finish = resolve
      })
      const end = () => {
        ended += 1
        finish(null)
      }
      return { done, end }
    }
    const desk = await new Desk({ workOn }).tell(smallWard().facts, DAY.from)
    desk.planner.take({ kind: 'ask', id: 7, ask: { what: 'staffing' } })
    desk.planner.take({ kind: 'stop', id: 7 })
    await desk.quiet()
    expect(ended).toBe(1)
    expect(desk.said.at(-1)).toMatchObject({ kind: 'answer', id: 7, answer: { ok: false, what: 'Stopped.' } })
  })
})

describe('too few hands', () => {
  /** One person for everything, on a ward where all is due at once. */
  function crowded(): Ward {
    const ward = smallWard()
    for (let at = 0; at < 5; at += 1) ward.patient(`x${at}`, '4WEST').order(`y${at}`, `x${at}`)
    ward.at(DAY.from).write('shift-assigned', { personId: 'birke' }, { from: DAY.from, to: NOW, units: [] })
    return ward
  }

  it('are told with the smallest help, which never begins before now', async () => {
    const now = '2026-03-10T15:00:00.000Z'
    const desk = await new Desk().tell(crowded().facts, now)
    const { picture } = desk.shown
    expect(picture.givenUp.length + picture.columns.filter(({ late }) => late > 0).length).toBeGreaterThan(0)
    const { sentences } = await desk.ask({ what: 'help' })
    const [said] = sentences
    const found = /from (\d\d:\d\d) to \d\d:\d\d would bring everything on time\.$/.exec(said ?? '')
    expect(found).not.toBeNull()
    expect(String(found?.[1]) >= '10:00').toBe(true)
  })

  it('are counted: the crew that is enough, and what smaller ones would reach', async () => {
    const desk = await new Desk().tell(crowded().facts, NOW)
    const { sentence, hours, points } = await desk.ask({ what: 'staffing' })
    expect(sentence).toMatch(/(enough for everything on time|found to be enough)/)
    expect(hours).toHaveLength(12)
    for (const [at, point] of points.entries())
      if (at > 0) expect(point.crew).toBe((points[at - 1]?.crew ?? 0) + 1)
  })
})
