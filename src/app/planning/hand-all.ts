import { type Pin, whatIfLeaves } from '../../rounds/index.ts'
import { type Repair, repairToFacts } from '../../rounds/replan/repair.ts'
import { visitWords } from './change-picture.ts'
import type { Desk } from './desk.ts'
import { gains } from './gains.ts'
import { capital, counted, listed } from './in-words.ts'
import { trialOf } from './made-plan.ts'
import type { Answer } from './messages.ts'
import { madeFrom } from './search.ts'

/**
 * All that somebody has still to do, given to one other person, or (null) to whomever it fits. What has begun or is
 * about to begin stays, and so does what the other may not or cannot do; both are said.
 */
export function handAll(desk: Desk, from: string, to: string | null): Answer<'hand all'> {
  const { base, made, chart } = desk
  const open = openOf(desk, from)
  const name = base.nameOf(from)
  if (open.length === 0)
    return {
      ok: false,
      what: `${name} has nothing left that could be handed over.`,
      todo: 'The plan stays as it is.',
    }
  const repaired = to === null ? toEverybody(desk, from) : toOne(desk, open, to)
  const then = madeFrom(repaired)
  const kept = keptBy(repaired, from, open)
  if (kept.length === open.length)
    return {
      ok: false,
      what: `Nothing of ${name} can go to ${to === null ? 'anybody else' : base.nameOf(to)}: not signed off, or no time.`,
      todo: 'The plan stays as it is. Choose somebody else, or hand single visits over.',
    }
  const moved = open.length - kept.length
  const whom = to === null ? 'the others' : base.nameOf(to)
  const title = `${capital(counted(moved, 'visit'))} of ${name} ${moved === 1 ? 'goes' : 'go'} to ${whom}.`
  const stays = kept.map((visit) => visitWords(base, visit))
  const value = trialOf(base, chart, then, {
    title,
    brings: [
      ...(stays.length > 0
        ? [`${capital(listed(stays))} cannot be taken over and ${stays.length === 1 ? 'stays' : 'stay'}.`]
        : []),
      ...gains(base, made, then),
    ],
    because: { kind: 'by hand', factIds: [], words: title.slice(0, 400) },
  })
  return { ok: true, value }
}

/** Visits of somebody that have not begun and are not about to. */
function openOf({ made }: Desk, therapist: string): string[] {
  const k = made.day.schedule.findIndex((round) => round.therapist === therapist)
  const done = made.standing.therapists[k]?.done.length ?? 0
  return (made.day.schedule[k]?.stops ?? []).slice(done).flatMap(({ visit }) => visit ?? [])
}

function keptBy({ day }: Repair, from: string, open: readonly string[]): string[] {
  const stops = day.schedule.find(({ therapist }) => therapist === from)?.stops ?? []
  return open.filter((id) => stops.some(({ visit }) => visit === id))
}

function toOne({ base, made }: Desk, open: readonly string[], to: string): Repair {
  const { day } = made
  const skills = day.shift.therapists.find(({ id }) => id === to)?.skills ?? []
  const able = day.shift.visits.filter(
    ({ id, skill }) => open.includes(id) && (skill === null || skills.includes(skill)),
  )
  const pins: Pin[] = able.map(({ id }) => ({ visit: id, therapist: to }))
  const others = day.pins.filter(({ visit }) => !pins.some((pin) => pin.visit === visit))
  return repairToFacts(day, { day: { ...day, pins: [...others, ...pins] }, begun: base.begun }, base.now, {
    freezeMinutes: base.freezeMinutes,
    seed: 1,
  })
}

/** As if she went home once she is free, and with her own hours in the plan that comes of it. */
function toEverybody({ base, made }: Desk, from: string): Repair {
  const { day } = made
  const k = day.shift.therapists.findIndex(({ id }) => id === from)
  const free = Math.max(base.now, made.standing.therapists[k]?.freeAt ?? base.now)
  const asked = { ...day, pins: day.pins.filter(({ therapist }) => therapist !== from) }
  const options = { freezeMinutes: base.freezeMinutes, seed: 1 }
  const { instead } = whatIfLeaves(asked, from, free, base.now, options, base.begun)
  // Nobody left: somebody decided it.
  const changes = instead.changes.map((change) =>
    change.reason.kind === 'therapist-left' ? { ...change, reason: { kind: 'decision' as const } } : change,
  )
  return { ...instead, changes, day: { ...instead.day, shift: day.shift } }
}
