import type { Alternative } from './alternatives.ts'
import type { Binding } from './binding.ts'
import { excess, type Overload } from './bound/interval.ts'
import type { OnTimeChance } from './chance/chance.ts'
import type { ExtraHands } from './help.ts'
import type { Shift } from './model.ts'
import type { ChangeReason, PromiseChange } from './promise.ts'

/** The time of day of a minute of the shift, as 24-hour text. */
export function clockText(shift: Shift, minute: number): string {
  const [hours, minutes] = shift.clockStart.split(':').map(Number) as [number, number]
  const total = (((hours * 60 + minutes + Math.round(minute)) % 1440) + 1440) % 1440
  const two = (value: number) => String(value).padStart(2, '0')
  return `${two(Math.floor(total / 60))}:${two(total % 60)}`
}

/** An overloaded interval as a sentence. */
export function overloadText(shift: Shift, overload: Overload): string {
  const from = clockText(shift, overload.from)
  const until = clockText(shift, overload.until)
  const work =
    overload.walkingMinutes === 0
      ? `${overload.neededMinutes} minutes of visits`
      : `${overload.neededMinutes} minutes of visits and at least ${overload.walkingMinutes} of walking to them`
  const some = overload.routes.length < shift.therapists.length
  const who = some
    ? `the therapists who may give them (${overload.routes.map((k) => shift.therapists[k]?.id).join(', ')})`
    : 'the therapists'
  return `Between ${from} and ${until} there are ${excess(overload)} minutes too many: ${work} must fall there, and ${who} have ${overload.presentMinutes}.`
}

/** Why a stop cannot start earlier, as a sentence. */
export function bindingText(shift: Shift, binding: Binding): string {
  switch (binding.kind) {
    case 'window':
      return 'Its window opens then.'
    case 'shift-start':
      return `The shift starts, and it is ${binding.walk} min to walk.`
    case 'stop-before': {
      const before = binding.stop.visit === null ? 'The break' : `Visit ${binding.stop.visit}`
      return `${before} lasts until ${clockText(shift, binding.stop.end)}, then ${binding.walk} min to walk.`
    }
    case 'gap':
      return `The dose before (${binding.visit}, by ${binding.therapist}) asks for ${binding.gap} min between starts.`
    case 'away':
      return `The patient is away until ${clockText(shift, binding.until)}.`
    case 'kept':
      return 'It is kept at the time it was promised.'
  }
}

/** A changed promise as a sentence. */
export function changeText(shift: Shift, change: PromiseChange): string {
  const at = (promised: PromiseChange['from']) =>
    promised === null ? 'nobody' : `${promised.therapist} at ${clockText(shift, promised.start)}`
  const what: Record<PromiseChange['kind'], string> = {
    later: `${change.visit} moves later, from ${at(change.from)} to ${at(change.to)}`,
    earlier: `${change.visit} moves earlier, from ${at(change.from)} to ${at(change.to)}`,
    'other-therapist': `${change.visit} passes from ${at(change.from)} to ${at(change.to)}`,
    added: `${change.visit} is added, ${at(change.to)}`,
    'left-out': `${change.visit} is left out`,
    cancelled: `${change.visit} is cancelled`,
  }
  return `${what[change.kind]}: ${reasonText(shift, change.reason)}.`
}

function reasonText(shift: Shift, reason: ChangeReason): string {
  switch (reason.kind) {
    case 'new-visit':
      return 'it is new'
    case 'cancelled':
      return 'it was called off'
    case 'overrun':
      return 'it ran longer than planned'
    case 'patient-away':
      return `the patient is away until ${clockText(shift, reason.until)}`
    case 'therapist-left':
      return `${reason.therapist} has left`
    case 'follows':
      return `it follows ${reason.visit}, which moved or grew longer`
    case 'gap-after':
      return `it keeps its distance from the dose before, ${reason.visit}`
    case 'gap-closed':
      return `the distance to the dose ${reason.visit} leaves no time within its limits`
    case 'decision':
      return 'a person placed it there'
    case 'no-room':
      return 'no therapist can reach it within its limits at a price below leaving it out'
    case 'rearranged':
      return 'the exchange saves more elsewhere'
  }
}

/** A chance of being on time in words: in how many of ten shifts like this one. */
export function chanceText({ chance }: Pick<OnTimeChance, 'chance'>): string {
  if (chance >= 0.995) return 'on time almost surely'
  if (chance <= 0.005) return 'on time hardly ever'
  const tens = Math.min(9, Math.max(1, Math.round(chance * 10)))
  return `on time in about ${tens} of 10 shifts`
}

/** Extra hands as a sentence. */
export function handsText(shift: Shift, { floors, from, until }: ExtraHands): string {
  const lowest = floors[0]
  const highest = floors[floors.length - 1]
  const where =
    lowest === undefined ? '' : lowest === highest ? ` on floor ${lowest}` : ` on floors ${lowest}–${highest}`
  return `One more pair of hands${where} from ${clockText(shift, from)} to ${clockText(shift, until)} would do.`
}

/** Visits that could be given in another form, as a sentence. */
export function conversionsText(visits: readonly string[]): string {
  if (visits.length === 0) return 'Nothing needs to be given in another form.'
  const which = visits.length === 1 ? `Visit ${visits[0]}` : `Visits ${visits.join(', ')}`
  return `${which} as metered-dose by protocol would do: ask the prescriber.`
}

/** What another place for a visit costs, as a sentence. */
export function alternativeText(shift: Shift, visit: string, place: Alternative): string {
  const cost =
    place.extraPoints > 0
      ? `costs ${place.extraPoints} points more`
      : place.extraPoints < 0
        ? `saves ${-place.extraPoints} points`
        : 'costs nothing more'
  const late = place.pushed.filter((item) => item.moreLateMinutes > 0)
  const whom = late.map((item) => `${item.visit} by ${item.moreLateMinutes} min`)
  const makes = whom.length === 0 ? '' : ` and makes late: ${whom.join(', ')}`
  return `${visit} with ${place.therapist} at ${clockText(shift, place.start)} ${cost}${makes}.`
}
