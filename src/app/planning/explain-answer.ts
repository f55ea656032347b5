import { Places } from '../../rounds/day.ts'
import { Bindings, bindingText } from '../../rounds/index.ts'
import { sayFor } from './change-picture.ts'
import type { Desk } from './desk.ts'
import type { Answer, OtherPlace } from './messages.ts'
import { placesOf } from './place-before.ts'

/** Why a visit is when it is and with whom, and what every other place for it would cost. */
export function explain(desk: Desk, visit: string): Answer<'explain'> {
  const { base, made } = desk
  const { day } = made
  const k = day.schedule.findIndex(({ stops }) => stops.some((stop) => stop.visit === visit))
  const index = day.schedule[k]?.stops.findIndex((stop) => stop.visit === visit) ?? -1
  const stop = day.schedule[k]?.stops[index]
  const therapist = day.schedule[k]?.therapist
  const stay = base.stays.get(visit)
  if (!stop || !stay || therapist === undefined)
    return {
      ok: false,
      what: 'That visit is not in the plan any more.',
      todo: 'It was given, called off or cannot be reached. Look at the round again.',
    }
  const places = placesOf(desk, visit)
  const pin = day.pins.find((each) => each.visit === visit)
  return {
    ok: true,
    value: {
      visit,
      place: stay.place,
      who: stay.who,
      what: stay.what,
      at: base.clock(stop.start),
      therapist: base.nameOf(therapist),
      pinned: pin !== undefined,
      movable: !(made.standing.therapists[k]?.done ?? []).some((each) => each.visit === visit),
      why: [
        bindingText(day.shift, new Bindings(day).of(k, index), sayFor(base)),
        ...limits(desk, visit),
        ...(pin ? ['Somebody pinned it there; the plan keeps to that.'] : []),
      ],
      others: ownTimes(desk, visit, k, stop.start, places),
      byOthers: otherHands(desk, visit, k, places),
      cannot: whoCannot(desk, visit, k, places),
      pin: { kind: 'place', visit, therapist, start: stop.start },
    },
  }
}

function limits({ base, made }: Desk, visit: string): string[] {
  const planned = new Places(made.day.shift).visit(visit)
  const { clock } = base
  return [
    `Due ${clock(planned.due)}. On time from ${clock(planned.earliest)} to ${clock(planned.onTimeUntil)}; it may begin until ${clock(planned.latest)}.`,
    `Reckoned to take ${planned.duration} min at the bedside.`,
  ]
}

type Place = ReturnType<typeof placesOf>[number]

/** The nearest earlier and later places in the same round. */
function ownTimes(
  desk: Desk,
  visit: string,
  k: number,
  start: number,
  places: readonly Place[],
): OtherPlace[] {
  const own = places.filter(({ route }) => route === k)
  const earlier = own.filter((place) => place.start < start).sort((a, b) => b.start - a.start)[0]
  const later = own.filter((place) => place.start > start).sort((a, b) => a.start - b.start)[0]
  const therapist = desk.made.day.shift.therapists[k]?.id ?? ''
  return [['Earlier', earlier] as const, ['Later', later] as const].flatMap(([word, place]) =>
    place
      ? [
          {
            words: `${word}, at ${desk.base.clock(place.start)}`,
            costs: costWords(place.extra),
            decision: { kind: 'place' as const, visit, therapist, start: place.start },
          },
        ]
      : [],
  )
}

function otherHands(desk: Desk, visit: string, k: number, places: readonly Place[]): OtherPlace[] {
  return desk.made.day.shift.therapists.flatMap(({ id }, route) => {
    if (route === k) return []
    const best = places.filter((place) => place.route === route).sort((a, b) => a.extra - b.extra)[0]
    if (!best) return []
    return [
      {
        words: `${desk.base.nameOf(id)}, at ${desk.base.clock(best.start)}`,
        costs: costWords(best.extra),
        decision: { kind: 'place' as const, visit, therapist: id },
      },
    ]
  })
}

function whoCannot({ base, made }: Desk, visit: string, k: number, places: readonly Place[]): string[] {
  const { shift, gone } = made.day
  const planned = new Places(shift).visit(visit)
  return shift.therapists.flatMap(({ id, skills }, route) => {
    if (route === k || places.some((place) => place.route === route)) return []
    if (gone.includes(id)) return [`${base.nameOf(id)} has left`]
    return planned.skill !== null && !skills.includes(planned.skill)
      ? [`${base.nameOf(id)} is not signed off for ${planned.skill}`]
      : [`${base.nameOf(id)} has no time for it within its limits`]
  })
}

/** What the whole plan would lose or gain by it, in the department's own penalty points. */
function costWords(extra: number): string {
  if (extra === 0) return 'costs nothing'
  return extra > 0 ? `the plan loses ${extra} points` : `the plan gains ${-extra} points`
}
