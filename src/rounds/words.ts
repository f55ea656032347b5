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

/** How minutes, visits and therapists are called: by a hospital's clock and names, or plainly. */
export type Say = {
  readonly clock: (minute: number) => string
  readonly visit: (id: string) => string
  readonly therapist: (id: string) => string
}

/** As the file has them. */
const plainly = (shift: Shift): Say => ({
  clock: (minute) => clockText(shift, minute),
  visit: (id) => id,
  therapist: (id) => id,
})

/** An overloaded interval as a sentence. */
export function overloadText(shift: Shift, overload: Overload, say: Say = plainly(shift)): string {
  const from = say.clock(overload.from)
  const until = say.clock(overload.until)
  const work =
    overload.walkingMinutes === 0
      ? `${overload.neededMinutes} minutes of visits`
      : `${overload.neededMinutes} minutes of visits and at least ${overload.walkingMinutes} of walking to them`
  const some = overload.routes.length < shift.therapists.length
  const who = some
    ? `the therapists who may give them (${overload.routes.map((k) => say.therapist(shift.therapists[k]?.id ?? '')).join(', ')})`
    : 'the therapists'
  return `Between ${from} and ${until} there are ${excess(overload)} minutes too many: ${work} must fall there, and ${who} have ${overload.presentMinutes}.`
}

/** Why a stop cannot start earlier, as a sentence. */
export function bindingText(shift: Shift, binding: Binding, say: Say = plainly(shift)): string {
  switch (binding.kind) {
    case 'window':
      return 'Its window opens then.'
    case 'shift-start':
      return `The shift starts, and it is ${binding.walk} min to walk.`
    case 'stop-before': {
      const { visit, end } = binding.stop
      const before = visit === null ? 'The break' : `The visit before (${say.visit(visit)})`
      return `${before} lasts until ${say.clock(end)}, then it is ${binding.walk} min to walk.`
    }
    case 'gap':
      return `The dose before (${say.visit(binding.visit)}, by ${say.therapist(binding.therapist)}) asks for ${binding.gap} min between starts.`
    case 'away':
      return `The patient is away until ${say.clock(binding.until)}.`
    case 'kept':
      return 'It is kept at the time it was promised.'
  }
}

/** A changed promise as a sentence. */
export function changeText(shift: Shift, change: PromiseChange, say: Say = plainly(shift)): string {
  return `${changeWhat(change, say)}: ${reasonText(change.reason, say)}.`
}

/** What becomes of a promise, without its reason. */
export function changeWhat({ visit, kind, from, to }: PromiseChange, say: Say): string {
  const at = (promised: PromiseChange['from']) => (promised === null ? '' : say.clock(promised.start))
  const by = (promised: PromiseChange['from']) =>
    promised === null ? 'nobody' : say.therapist(promised.therapist)
  const what: Record<PromiseChange['kind'], string> = {
    later: `moves later, from ${at(from)} to ${at(to)}`,
    earlier: `moves earlier, from ${at(from)} to ${at(to)}`,
    'other-therapist': `passes from ${by(from)} (${at(from)}) to ${by(to)} (${at(to)})`,
    added: `is added at ${at(to)}, by ${by(to)}`,
    'left-out': 'cannot be reached',
    cancelled: 'is called off',
  }
  return `${say.visit(visit)} ${what[kind]}`
}

/** Why a promise changed, to stand after "because". */
export function reasonText(reason: ChangeReason, say: Say): string {
  switch (reason.kind) {
    case 'new-visit':
      return 'it is new'
    case 'cancelled':
      return 'its order ended or is on hold, or it was charted or can no longer be planned'
    case 'overrun':
      return 'it runs longer than planned'
    case 'patient-away':
      return `the patient is away until ${say.clock(reason.until)}`
    case 'therapist-left':
      return `${say.therapist(reason.therapist)} has left, or goes home before`
    case 'follows':
      return `it follows ${say.visit(reason.visit)}, which moved or takes longer`
    case 'gap-after':
      return `it keeps its distance from the dose before (${say.visit(reason.visit)})`
    case 'gap-closed':
      return `the distance to the other dose (${say.visit(reason.visit)}) leaves no time within its limits`
    case 'decision':
      return 'somebody placed it there'
    case 'no-room':
      return 'nobody can be there within its limits at less than what leaving it out costs'
    case 'rearranged':
      return 'the exchange gains more elsewhere'
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
export function handsText(
  shift: Shift,
  { floors, from, until }: ExtraHands,
  say: Say = plainly(shift),
): string {
  const lowest = floors[0]
  const highest = floors[floors.length - 1]
  const where =
    lowest === undefined ? '' : lowest === highest ? ` on floor ${lowest}` : ` on floors ${lowest}–${highest}`
  return `One more pair of hands${where} from ${say.clock(from)} to ${say.clock(until)} would bring everything on time.`
}

/** Visits that could be given in another form, as a sentence. */
export function conversionsText(
  visits: readonly string[],
  say: Pick<Say, 'visit'> = { visit: (id) => id },
): string {
  if (visits.length === 0) return 'Nothing needs to be given in another form.'
  const doses = visits.length === 1 ? 'This dose' : `These ${visits.length} doses`
  return `${doses} given in another form, where the protocol allows it, would bring everything on time: ${visits.map(say.visit).join('; ')}. Ask the prescriber.`
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
