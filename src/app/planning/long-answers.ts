import { BREAK, conversionsText, handsText } from '../../rounds/index.ts'
import { promiseChanges } from '../../rounds/promise.ts'
import { restOfShift } from '../../shift/index.ts'
import { sayFor } from './change-picture.ts'
import type { Desk } from './desk.ts'
import { peopleHours } from './draw-plan.ts'
import { gains } from './gains.ts'
import { capital, inWords } from './in-words.ts'
import type { Done, LongWork, WorkDone } from './long-work.ts'
import { type Made, trialOf } from './made-plan.ts'
import type { Answer, HelpAnswer, LongAsk, StaffingAnswer, Trial } from './messages.ts'

/** More people than are on, at most so many, are tried before the day is said to need too much. */
const BEYOND = 3

/** What takes seconds, as work for a thread of its own. */
export function longWorkOf(ask: LongAsk, { base, made }: Desk): LongWork {
  const shift = { ...restOfShift(base.problem), previousPlan: null }
  switch (ask.what) {
    case 'help': {
      const convertible = shift.visits.filter(({ kind }) => kind !== 'continuous').map(({ id }) => id)
      const routes = shift.therapists.map(({ id, break: pause }) => {
        const stops = made.day.schedule.find(({ therapist }) => therapist === id)?.stops ?? []
        return stops.flatMap(({ visit }) => {
          if (visit === null) return pause ? [BREAK] : []
          return shift.visits.some((each) => each.id === visit) ? [visit] : []
        })
      })
      return { kind: 'help', shift, now: base.now, plan: { routes }, convertible }
    }
    case 'staffing':
      return { kind: 'staffing', shift, most: Math.max(1, shift.therapists.length + BEYOND) }
    case 'afresh':
      return { kind: 'afresh', shift: { ...made.day.shift, previousPlan: null }, standing: made.standing }
  }
}

/** What came of long work, in words. */
export function longAnswer(desk: Desk, done: WorkDone): Answer<LongAsk['what']> {
  switch (done.kind) {
    case 'help':
      return { ok: true, value: helpWords(desk, done.value) }
    case 'staffing':
      return { ok: true, value: staffingWords(desk, done.value) }
    case 'afresh':
      return { ok: true, value: afreshTrial(desk, done.value) }
  }
}

/** The smallest help found that brings everything on time: more hands, or doses given another way. */
function helpWords({ base }: Desk, { hands, converted, isCut }: Done['help']): HelpAnswer {
  const say = sayFor(base)
  const found = [
    ...(hands ? [handsText(base.day.shift, hands, say)] : []),
    ...(converted !== null && converted.length > 0 ? [conversionsText(converted, say)] : []),
  ]
  if (found.length > 0) return { sentences: found }
  const why = isCut ? 'In the time given, n' : 'N'
  return {
    sentences: [
      `${why}o single pair of hands and no change of form was found that would bring everything on time.`,
      'Ask for more than one, or agree with the prescribers on what may wait.',
    ],
  }
}

/** How many hands the rest of the shift needs, hour by hour, beside those that are there. */
function staffingWords({ base, made }: Desk, { curve, isCut }: Done['staffing']): StaffingAnswer {
  const hours = peopleHours({ base: { ...base, day: made.day }, schedule: made.day.schedule })
  const there = made.day.shift.therapists.length - made.day.gone.length
  if (curve === null) {
    const why = isCut ? 'In the time given, not' : 'Not'
    const most = inWords(there + BEYOND)
    return {
      sentence: `${why} even ${most} were found to be enough for everything on time.`,
      hours,
      points: [],
    }
  }
  const enough = `${capital(inWords(curve.crew))} ${curve.crew === 1 ? 'is' : 'are'} enough for everything on time`
  return {
    sentence: `${enough} from now on; ${inWords(there)} ${there === 1 ? 'is' : 'are'} on.`,
    hours: hours.map((hour, i) => ({ ...hour, atLeast: curve.hours[i]?.atLeast ?? null })),
    points: curve.points.map(({ crew, lateMinutes, droppedByPriority }) => ({
      crew,
      lateMinutes,
      leftOut: droppedByPriority.reduce((sum, count) => sum + count, 0),
    })),
  }
}

/** A plan for everybody made afresh: what was promised counts for nothing but pins. */
function afreshTrial({ base, made, chart }: Desk, { schedule, dropped, total }: Done['afresh']): Trial {
  const day = { ...made.day, schedule }
  const changes = base.before === null ? [] : promiseChanges(made.day, day)
  const then: Made = { ...made, day, dropped, total, cost: null, bound: null, changes }
  return trialOf(base, chart, then, {
    title: 'The patients split afresh',
    brings: gains(base, made, then),
    because: { kind: 'by hand', factIds: [], words: 'split afresh among everybody' },
  })
}
