import { compile } from '../../rounds/compile.ts'
import { pricedState } from '../../rounds/evaluate.ts'
import { improve } from '../../rounds/improve.ts'
import { promiseChanges } from '../../rounds/promise.ts'
import { keptState } from '../../rounds/replan/kept-state.ts'
import { repairToFacts } from '../../rounds/replan/repair.ts'
import { changePicture } from './change-picture.ts'
import type { Desk } from './desk.ts'
import { peopleHours } from './draw-plan.ts'
import { type Figures, figuresOf, gains } from './gains.ts'
import { hoursText } from './in-words.ts'
import { type Made, trialOf } from './made-plan.ts'
import type { GoesHomeAnswer, Trial } from './messages.ts'
import { madeFrom } from './search.ts'

/** How long a plan for everybody afresh is searched for [ms]. */
const AFRESH_MS = 1500

/** A plan for everybody made afresh: what was promised counts for nothing but pins. */
export function afresh({ base, made, chart, ticks }: Desk): Trial {
  const { standing } = made
  const compiled = compile({ ...made.day.shift, previousPlan: null }, standing)
  const state = keptState(
    compiled,
    made.day.schedule.map(() => []),
  )
  improve(state, { seed: 1, effort: { now: ticks, until: ticks() + AFRESH_MS } })
  const priced = pricedState(compiled, state)
  const day = { ...made.day, schedule: priced.schedule }
  const changes = base.before === null ? [] : promiseChanges(base.before, day)
  const then: Made = {
    ...made,
    day,
    dropped: priced.dropped,
    total: priced.total,
    cost: null,
    bound: null,
    changes,
  }
  return trialOf(base, chart, then, {
    title: 'The patients split afresh',
    brings: gains(base, made, then),
    because: { kind: 'by hand', factIds: [], words: 'split afresh among everybody' },
  })
}

/** The plan if somebody goes home at a minute of the shift, beside the one that is shown. */
export function goesHome({ base, made }: Desk, therapist: string, at: number): GoesHomeAnswer {
  const { shift } = made.day
  const home = Math.max(at, base.now)
  const therapists = shift.therapists.map((each) =>
    each.id === therapist
      ? {
          ...each,
          end: { ...each.end, time: Math.min(each.end.time, home) },
          break: each.break && each.break.earliest + each.break.duration <= home ? each.break : null,
        }
      : each,
  )
  const day = { ...made.day, shift: { ...shift, therapists } }
  const options = { freezeMinutes: base.freezeMinutes, seed: 1 }
  const then = madeFrom(repairToFacts(made.day, { day, begun: base.begun }, base.now, options))
  const [a, b] = [figuresOf(base, made), figuresOf(base, then)]
  const now = peopleHours({ base: { ...base, day: made.day }, schedule: made.day.schedule })
  const later = peopleHours({ base: { ...base, day: then.day }, schedule: then.day.schedule })
  return {
    name: base.nameOf(therapist),
    at: base.clock(home),
    rows: rowsOf(a, b),
    hours: later.map((hour, i) => ({ ...hour, otherBusy: now[i]?.busy ?? 0 })),
    changes: then.changes.map((change) => changePicture(base, change)),
  }
}

function rowsOf(a: Figures, b: Figures): GoesHomeAnswer['rows'] {
  return [
    { what: 'Cannot be reached', now: String(a.leftOut), otherwise: String(b.leftOut) },
    { what: 'Late', now: String(a.late), otherwise: String(b.late) },
    { what: 'Minutes late in all', now: String(a.lateMinutes), otherwise: String(b.lateMinutes) },
    { what: 'Walking in all', now: hoursText(a.walkMinutes), otherwise: hoursText(b.walkMinutes) },
    { what: 'Most work for one', now: hoursText(a.largestLoad), otherwise: hoursText(b.largestLoad) },
  ]
}
