import { readShift } from '../../src/rounds/check.ts'
import { compile } from '../../src/rounds/compile.ts'
import { beginDay, type Day } from '../../src/rounds/day.ts'
import { Random } from '../../src/rounds/engine/random.ts'
import { pricedState } from '../../src/rounds/evaluate.ts'
import { constructed, improve } from '../../src/rounds/improve.ts'
import type { Shift, ShiftEvent, Therapist } from '../../src/rounds/model.ts'
import { DecisionRefused, decide } from '../../src/rounds/replan/decide.ts'
import { betterOffer } from '../../src/rounds/replan/offer.ts'
import { type Repair, type RepairOptions, repair } from '../../src/rounds/replan/repair.ts'
import { checkDay } from './day-check.ts'
import { readJson } from './read.ts'

const started = new Map<string, Day>()

/** The file's shift with a short search's plan in force. */
export function startedDay(path: string, seed: number): Day {
  const key = `${path} ${seed}`
  const day = started.get(key) ?? dayOf(readShift(readJson(path)).shift, seed)
  started.set(key, day)
  return day
}

/** A shift with a short search's plan in force. */
export function dayOf(shift: Shift, seed: number): Day {
  const compiled = compile(shift)
  const state = constructed(compiled.flat)
  improve(state, { seed, effort: { iterations: 300 } })
  return beginDay(compiled.shift, pricedState(compiled, state).schedule)
}

/** What went wrong on a day lived through random events; all three lists must be empty. */
export type LivedDay = {
  readonly moved: string[]
  readonly broken: string[]
  readonly misprized: string[]
}

export type Happening = (day: Day, now: number) => ShiftEvent | 'pin' | 'offer'

/** Random things that happen, of every kind there is. */
export function random(seed: number): Happening {
  const dice = new Random(seed)
  let count = 0
  return (day, now) => {
    const pick = <T>(list: readonly T[]): T => list[dice.below(list.length)] as T
    const patient = pick(day.shift.patients).id
    const visit = pick(day.shift.visits)
    const therapist = pick(day.shift.therapists)
    const away = pick([now, now + 5, now + 40])
    switch (dice.below(9)) {
      case 0:
      case 1: {
        const stat = dice.below(2) === 0
        const fresh = {
          id: `X${count++}`,
          patient,
          kind: stat ? 'stat' : 'prn',
          priority: stat ? (1 as const) : (2 as const),
          skill: null,
          due: now,
          earliest: now,
          onTimeUntil: now + (stat ? 15 : 30),
          latest: now + (stat ? 60 : 90),
          duration: 8 + dice.below(10),
        }
        return { type: 'new-visit', time: now, visit: fresh }
      }
      case 2:
        return { type: 'cancel-visit', time: now, visit: visit.id }
      case 3:
        return { type: 'patient-away', time: now, patient, from: away, until: away + 20 + dice.below(40) }
      case 4:
        return { type: 'patient-back', time: now, patient }
      case 5:
        return { type: 'overrun', time: now, visit: visit.id, extraMinutes: 1 + dice.below(20) }
      case 6:
        return dice.below(3) === 0 && day.shift.therapists.length > day.gone.length + 1
          ? { type: 'therapist-leaves', time: now, therapist: therapist.id }
          : {
              type: 'therapist-comes',
              time: now,
              therapist: helper(therapist, `H${count++}`, now),
            }
      case 7:
        return 'offer'
      default:
        return 'pin'
    }
  }
}

const helper = (model: Therapist, id: string, now: number): Therapist => ({
  ...model,
  id,
  end: { ...model.end, time: Math.max(model.end.time, now + 60) },
  break: null,
})

/** Lives a day through ten happenings and compares the plan before and after each. */
export function live(path: string, happening: Happening, seed: number, options: RepairOptions): LivedDay {
  const report: LivedDay = { moved: [], broken: [], misprized: [] }
  const dice = new Random(seed + 7)
  let day = startedDay(path, 1)
  let standing: Repair['standing'] | null = null
  const ranOver = new Set<string>()
  let now = 0
  for (let i = 0; i < 10; i++) {
    now += 5 + dice.below(40)
    const what = happening(day, now)
    if (what === 'offer') {
      if (standing === null || standing.now !== now) continue
    }
    const step = next(day, what, standing, now, dice, options)
    if (step === null) continue
    if (typeof what !== 'string' && what.type === 'overrun')
      for (const item of day.schedule)
        if (item.stops.some((stop) => stop.visit === what.visit)) ranOver.add(item.therapist)
    const label = `${i} at ${now}: ${typeof what === 'string' ? what : JSON.stringify(what)}`
    report.moved.push(
      ...movedBy(day, step, now, what, options.freezeMinutes).map((text) => `${label}: ${text}`),
    )
    const check = checkDay(step.day, now, ranOver)
    report.broken.push(...check.broken.map((text) => `${label}: ${text}`))
    const { reassign, postpone, ...parts } = step.priced.parts
    if (JSON.stringify(parts) !== JSON.stringify(check.parts))
      report.misprized.push(`${label}: ${JSON.stringify(parts)} instead of ${JSON.stringify(check.parts)}`)
    if (step.priced.total !== check.total + reassign + postpone) report.misprized.push(`${label}: total`)
    day = step.day
    standing = step.standing
    const offer = betterOffer(step, { seed, effort: { iterations: 60 }, leastGainPerChange: 1 })
    if (offer === null) continue
    report.moved.push(
      ...movedBy(day, { ...step, day: offer.day, releasedPins: [] }, now, 'offer', options.freezeMinutes).map(
        (text) => `${label}, offer: ${text}`,
      ),
    )
    report.broken.push(...checkDay(offer.day, now, ranOver).broken.map((text) => `${label}, offer: ${text}`))
    day = offer.day
  }
  return report
}

function next(
  day: Day,
  what: ReturnType<Happening>,
  standing: Repair['standing'] | null,
  now: number,
  dice: Random,
  options: RepairOptions,
): Repair | null {
  if (what === 'offer' || what === 'pin') {
    const stops = day.schedule.flatMap((item) => item.stops).filter((stop) => stop.start > now)
    const stop = stops[dice.below(Math.max(1, stops.length))]
    if (stop?.visit === null || stop === undefined || standing === null) return null
    const therapist = day.shift.therapists[dice.below(day.shift.therapists.length)]?.id as string
    const start = dice.below(2) === 0 ? {} : { start: stop.start + dice.below(15) }
    try {
      return decide(day, { kind: 'place', visit: stop.visit, therapist, ...start }, now, options)
    } catch (error) {
      if (error instanceof DecisionRefused) return null
      throw error
    }
  }
  return repair(day, what, options)
}

/** Begun, frozen and pinned visits that are not where they were, though nothing that happened bears on them. */
function movedBy(
  before: Day,
  { day: after, releasedPins }: Repair,
  now: number,
  what: ReturnType<Happening>,
  freezeMinutes: number,
): string[] {
  const where = new Map(
    after.schedule.flatMap(({ therapist, stops }) =>
      stops.map((stop) => [stop.visit ?? `break ${therapist}`, { therapist, ...stop }] as const),
    ),
  )
  const moved: string[] = []
  for (const { therapist, stops } of before.schedule) {
    const running = stops.filter((stop) => stop.start <= now)
    for (const stop of stops) {
      if (stop.start >= now + freezeMinutes) continue
      if (stop.start > now && bears(before, after, what, therapist, stop.visit, running)) continue
      const is = where.get(stop.visit ?? `break ${therapist}`)
      if (is?.therapist !== therapist || is.start !== stop.start)
        moved.push(`${stop.visit} of ${therapist} at ${stop.start} is now ${JSON.stringify(is)}`)
    }
  }
  for (const pin of after.pins) {
    const is = where.get(pin.visit)
    if (
      is === undefined ||
      is.therapist !== pin.therapist ||
      (pin.start !== undefined && is.start !== pin.start)
    )
      moved.push(`pinned ${JSON.stringify(pin)} is now ${JSON.stringify(is)}`)
  }
  for (const pin of before.pins) {
    const kept = after.pins.includes(pin) || releasedPins.includes(pin)
    const cancelled = !after.shift.visits.some((visit) => visit.id === pin.visit)
    if (!kept && !cancelled && what !== 'pin') moved.push(`the pin ${JSON.stringify(pin)} is gone silently`)
  }
  return moved
}

function bears(
  before: Day,
  after: Day,
  what: ReturnType<Happening>,
  therapist: string,
  visit: string | null,
  running: readonly { readonly visit: string | null }[],
): boolean {
  if (what === 'offer') return false
  if (what === 'pin') return after.pins.some((pin) => pin.visit === visit && !before.pins.includes(pin))
  const patient = before.shift.visits.find((item) => item.id === visit)?.patient
  switch (what.type) {
    case 'new-visit':
      return what.visit.patient === patient && what.visit.priority === 1
    case 'cancel-visit':
      return what.visit === visit
    case 'patient-away':
      return what.patient === patient
    case 'overrun':
      return what.visit === visit || running.some((stop) => stop.visit === what.visit)
    case 'therapist-leaves':
      return what.therapist === therapist
    default:
      return false
  }
}
