import { priceStops } from '../../rounds/evaluate.ts'
import { conversionsNeeded, extraHandsNeeded, FULL_SERVICE, type HelpOptions } from '../../rounds/help.ts'
import { staffingCurve } from '../../rounds/staffing.ts'
import { visitWords } from './change-picture.ts'
import type { Desk } from './desk.ts'
import { peopleHours } from './draw-plan.ts'
import { capital, counted, inWords, listed } from './in-words.ts'
import type { HelpAnswer, StaffingAnswer } from './messages.ts'

/** How long help and staffing are looked for at most [ms], and how long each trial searches. */
const LOOK_MS = 6000
const ROUNDS = 400

/** The smallest help found that brings everything on time: more hands, or doses given another way. */
export function helpWords(desk: Desk): HelpAnswer {
  const { base, made } = desk
  const { shift } = remaining(desk)
  const options = optionsFor(desk)
  const stops = made.day.schedule.map((item) => item.stops)
  const plan = { plan: { routes: [] }, ...priceStops(made.day.shift, stops) }
  const hands = extraHandsNeeded(shift, plan, options)
  const convertible = shift.visits.filter(({ kind }) => kind !== 'continuous').map(({ id }) => id)
  const converted = conversionsNeeded(shift, convertible, options)
  const sentences = [
    ...(hands
      ? [
          `One more pair of hands from ${base.clock(hands.help.from)} to ${base.clock(hands.help.until)} would bring everything on time.`,
        ]
      : ['No single extra pair of hands was found that would bring everything on time.']),
    ...(converted && converted.help.length > 0
      ? [
          `Or ${counted(converted.help.length, 'dose')} given in another form, if the department’s protocol and the prescriber allow it: ${listed(converted.help.map((visit) => visitWords(base, visit)))}.`,
        ]
      : []),
  ]
  return { sentences }
}

/** How many hands the rest of the shift needs, hour by hour, beside those that are there. */
export function staffing(desk: Desk): StaffingAnswer {
  const { base, made } = desk
  const { shift } = remaining(desk)
  const most = Math.max(1, shift.therapists.length + 3)
  const curve = staffingCurve(shift, most, optionsFor(desk))
  const hours = peopleHours({ base: { ...base, day: made.day }, schedule: made.day.schedule })
  if (curve === null)
    return { sentence: `Not even ${inWords(most)} were found to be enough for everything on time.`, hours }
  const there = made.day.shift.therapists.length - made.day.gone.length
  return {
    sentence: `${capital(inWords(curve.crew))} ${curve.crew === 1 ? 'is' : 'are'} enough for everything on time; ${inWords(there)} ${there === 1 ? 'is' : 'are'} on.`,
    hours: hours.map((hour, i) => ({ ...hour, atLeast: curve.hours[i]?.atLeast ?? null })),
  }
}

/** The shift from now on: nobody starts before now, and what is done is out of it. */
function remaining({ base, made }: Desk) {
  const done = new Set(
    made.standing.therapists.flatMap((therapist) => therapist.done.map(({ visit }) => visit)),
  )
  const { shift, gone } = made.day
  return {
    shift: {
      ...shift,
      previousPlan: null,
      visits: shift.visits.filter(({ id }) => !done.has(id)),
      therapists: shift.therapists
        .filter(({ id }) => !gone.includes(id))
        .map((therapist) => ({
          ...therapist,
          start: { ...therapist.start, time: Math.max(therapist.start.time, base.now) },
          break: therapist.break && therapist.break.latest > base.now ? therapist.break : null,
        })),
    },
  }
}

function optionsFor({ made, ticks }: Desk): HelpOptions {
  const until = ticks() + LOOK_MS
  return {
    seed: 1,
    iterations: ROUNDS,
    level: FULL_SERVICE,
    skills: [...new Set(made.day.shift.visits.flatMap(({ skill }) => skill ?? []))],
    stop: () => ticks() > until,
  }
}
