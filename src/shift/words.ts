import type { Assumption } from './away-and-pins.ts'
import type { NotPlanned } from './stay.ts'

/** Why a dose has no place in the plan. */
export function notPlannedWords({ why }: NotPlanned, clock: (instant: string) => string): string {
  switch (why.kind) {
    case 'no due times':
      return `It has no due times: ${why.what}.`
    case 'to be decided':
      return `${why.what}. ${why.todo}.`
    case 'order incomplete':
      return `The order is incomplete: ${why.what}.`
    case 'waits for an answer':
      return `It waits for an answer: ${why.what}`
    case 'place not known':
      return 'Where the patient is has not been said.'
    case 'place not on the map':
      return `${why.unit} is not on the hospital map.`
    case 'nobody signed off':
      return `Nobody on this shift is signed off for ${why.skills.join(' and ')}.`
    case 'missed':
      return `Missed: it could be given until ${clock(why.latest)}. Chart why.`
    case 'too soon after the last dose':
      return `The last dose was at ${clock(why.lastAt)}, and ${why.gapMinutes} min must lie between.`
    case 'ask how soon it may be repeated':
      return 'It was given before, and the order does not say how soon it may be repeated. Ask the prescriber.'
  }
}

/** What the plan takes for granted, said aloud. */
export function assumptionWords(assumption: Assumption, nameOf: (id: string) => string): string {
  switch (assumption.kind) {
    case 'break not recorded':
      return `Whether ${nameOf(assumption.personId)} has had a break is not recorded; none is planned.`
    case 'isolation code not known':
      return `${nameOf(assumption.patientId)} is under ${assumption.code}, which the isolation document does not have: planned by the codes that it has.`
    case 'pin cannot hold': {
      const why = {
        'not on this shift': 'is not on this shift',
        'not signed off': 'is not signed off for it',
        'time outside the window': 'cannot be there at that time within its window',
      }[assumption.why]
      return `${nameOf(assumption.visit)} was pinned, but ${nameOf(assumption.personId)} ${why}.`
    }
  }
}
