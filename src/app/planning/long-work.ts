import { loadPlan } from '../../rounds/evaluate.ts'
import {
  type Compiled,
  compile,
  constructed,
  conversionsNeeded,
  type ExtraHands,
  extraHandsNeeded,
  FULL_SERVICE,
  type HelpOptions,
  improve,
  type Plan,
  PlanImpossible,
  type PricedPlan,
  pricedState,
  type Shift,
  type StaffingCurve,
  type Standing,
  staffingCurve,
} from '../../rounds/index.ts'
import { keptState } from '../../rounds/replan/kept-state.ts'

/** Something that takes seconds, as plain data, so that a thread of its own can do it and be ended at any moment. */
export type LongWork =
  /** The smallest help with which nothing is late or left out, going on from a plan of the rest of the shift. */
  | {
      readonly kind: 'help'
      readonly shift: Shift
      /** The present minute: no help comes before it. */
      readonly now: number
      readonly plan: Plan
      readonly convertible: readonly string[]
    }
  /** The smallest crew for the rest of the shift, and the curve up to it. */
  | { readonly kind: 'staffing'; readonly shift: Shift; readonly most: number }
  /** A plan for everybody from nothing, from where everybody is. */
  | { readonly kind: 'afresh'; readonly shift: Shift; readonly standing: Standing }

/** `isCut`: the time was over before everything was tried. */
export type Done = {
  help: {
    readonly hands: ExtraHands | null
    readonly converted: readonly string[] | null
    readonly isCut: boolean
  }
  staffing: { readonly curve: StaffingCurve | null; readonly isCut: boolean }
  afresh: PricedPlan
}

export type WorkDone<Kind extends LongWork['kind'] = LongWork['kind']> = {
  [K in Kind]: { readonly kind: K; readonly value: Done[K] }
}[Kind]

/** How long each is looked for at most [ms], and how many rounds every trial within searches. */
const LOOK_MS = { help: 6000, staffing: 6000, afresh: 1500 } as const
const ROUNDS = 400
/** Share of the time that goes to extra hands; the rest goes to other forms. */
const FOR_HANDS = 0.6

type Clock = { readonly ticks: () => number; readonly progress: (share: number) => void }

/** Does the work, telling the share of its time that is spent. Reads no clock but the one it is given. */
export function doLongWork(work: LongWork, clock: Clock): WorkDone {
  const from = clock.ticks()
  const spent = () => (clock.ticks() - from) / LOOK_MS[work.kind]
  const isOver = (share: number) => () => {
    clock.progress(Math.min(1, spent()))
    return spent() > share
  }
  switch (work.kind) {
    case 'help':
      return { kind: 'help', value: help(work, isOver, () => spent() > 1) }
    case 'staffing': {
      const curve = staffingCurve(work.shift, work.most, optionsOf(work.shift, isOver(1)))
      return { kind: 'staffing', value: { curve, isCut: curve === null && spent() > 1 } }
    }
    case 'afresh':
      return { kind: 'afresh', value: afresh(work, from, clock) }
  }
}

function help(
  { shift: whole, now, plan, convertible }: Extract<LongWork, { kind: 'help' }>,
  isOver: (share: number) => () => boolean,
  isCut: () => boolean,
): Done['help'] {
  const shift = fromNow(whole, now)
  const compiled = compile(shift)
  const shown = pricedState(compiled, loaded(compiled, plan))
  const hands = extraHandsNeeded(shift, shown, optionsOf(shift, isOver(FOR_HANDS)))
  const converted = conversionsNeeded(shift, convertible, optionsOf(shift, isOver(1)))
  const help = hands && { ...hands.help, from: hands.help.from + now, until: hands.help.until + now }
  return { hands: help, converted: converted?.help ?? null, isCut: isCut() }
}

/** The same problem counted from the present minute. */
function fromNow(shift: Shift, now: number): Shift {
  const { horizon, therapists, visits } = shift
  return {
    ...shift,
    horizon: horizon - now,
    therapists: therapists.map(({ start, end, break: pause, ...therapist }) => ({
      ...therapist,
      start: { ...start, time: start.time - now },
      end: { ...end, time: end.time - now },
      break: pause && { ...pause, earliest: Math.max(0, pause.earliest - now), latest: pause.latest - now },
    })),
    visits: visits.map(({ due, earliest, onTimeUntil, latest, ...visit }) => ({
      ...visit,
      due: due - now,
      earliest: earliest - now,
      onTimeUntil: onTimeUntil - now,
      latest: latest - now,
    })),
  }
}

/** The plan as it stands; a constructed one where it cannot stand any more, since time went on. */
function loaded(compiled: Compiled, plan: Plan): ReturnType<typeof loadPlan> {
  try {
    return loadPlan(compiled, plan)
  } catch (error) {
    if (error instanceof PlanImpossible) return constructed(compiled.flat)
    throw error
  }
}

function afresh(
  { shift, standing }: Extract<LongWork, { kind: 'afresh' }>,
  from: number,
  { ticks, progress }: Clock,
): PricedPlan {
  const compiled: Compiled = compile(shift, standing)
  const state = keptState(
    compiled,
    shift.therapists.map(() => []),
  )
  improve(state, { seed: 1, effort: { now: ticks, until: from + LOOK_MS.afresh }, progress })
  return pricedState(compiled, state)
}

function optionsOf(shift: Shift, stop: () => boolean): HelpOptions {
  const skills = [...new Set(shift.visits.flatMap(({ skill }) => skill ?? []))]
  return { seed: 1, iterations: ROUNDS, level: FULL_SERVICE, skills, stop }
}
