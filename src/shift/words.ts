import type { PlanningPolicy } from '../chart/documents/planning-policy.ts'
import type { Binding } from '../rounds/index.ts'
import type { Assumption } from './away-and-pins.ts'
import type { NotPlanned } from './stay.ts'

/** A chance of being on time as a mark and in words; never more certain than "nearly sure". */
export function chanceWords(chance: number, limits: Omit<PlanningPolicy['chance'], 'source'>) {
  const percent = Math.round(chance * 100)
  const mark =
    percent >= limits.likelyFromPercent
      ? ('likely' as const)
      : percent < limits.doubtfulBelowPercent
        ? ('doubtful' as const)
        : ('uncertain' as const)
  const said = { likely: 'on time, nearly sure', uncertain: 'probably on time', doubtful: 'may well be late' }
  return { mark, words: `${said[mark]} (${percent} in 100)` }
}

/** Why a stop cannot begin earlier, in the names that people use. */
export function whyWords(
  binding: Binding | { readonly kind: 'now' },
  called: (visit: string) => string,
  clock: (minute: number) => string,
): string {
  switch (binding.kind) {
    case 'window':
      return 'Its window opens then.'
    case 'shift-start':
      return binding.walk > 0 ? `First on the way: ${binding.walk} min to walk.` : 'First on the way.'
    case 'stop-before': {
      const { visit, end } = binding.stop
      const before = visit === null ? 'the break' : called(visit)
      return `After ${before} until ${clock(end)}${binding.walk > 0 ? `, then ${binding.walk} min to walk` : ''}.`
    }
    case 'gap':
      return `At least ${binding.gap} min after the dose before.`
    case 'away':
      return `The patient is away until ${clock(binding.until)}.`
    case 'now':
      return 'As soon as it can be.'
    case 'kept':
      return 'Kept at the time that was promised.'
  }
}

/** Why a dose has no place in the plan. */
export function notPlannedWords({ why }: NotPlanned, clock: (instant: string) => string): string {
  switch (why.kind) {
    case 'no due times':
      return `It has no due times: ${why.what}.`
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
