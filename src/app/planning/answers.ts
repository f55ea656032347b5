import { type Decision, DecisionRefused, decide } from '../../rounds/replan/decide.ts'
import { type CarryList, carryList } from '../../shift/index.ts'
import { goesHome } from './answers-floor.ts'
import { refusedWords, triedWords } from './decision-words.ts'
import type { Desk } from './desk.ts'
import { explain } from './explain-answer.ts'
import { gains } from './gains.ts'
import { handAll } from './hand-all.ts'
import { trialOf } from './made-plan.ts'
import type { Answer, Ask, LongAsk, Trial } from './messages.ts'
import { placeBefore } from './place-before.ts'
import { madeFrom } from './search.ts'

/** What is answered at once, in milliseconds. */
export type ShortAsk = Exclude<Ask, LongAsk>

/** Answers what a person asks. What cannot be done comes back with the reason and with what to do. */
export function answerTo(ask: ShortAsk, desk: Desk): Answer<ShortAsk['what']> {
  try {
    return answered(ask, desk)
  } catch (error) {
    if (error instanceof DecisionRefused) return refusedWords(desk.base, error)
    throw error
  }
}

function answered(ask: ShortAsk, desk: Desk): Answer<ShortAsk['what']> {
  switch (ask.what) {
    case 'explain':
      return explain(desk, ask.visit)
    case 'try':
      return { ok: true, value: tried(desk, ask.decision) }
    case 'try before': {
      const found = placeBefore(desk, ask.visit, ask.before)
      return found.ok ? { ok: true, value: tried(desk, found.decision) } : found
    }
    case 'hand all':
      return handAll(desk, ask.from, ask.to)
    case 'carry':
      return { ok: true, value: carryOf(desk, ask.therapist) }
    case 'goes home':
      return goesHome(desk, ask.therapist, ask.at)
  }
}

/** What the visits of somebody ask for that have not begun. */
function carryOf({ base, made, chart }: Desk, therapist: string): CarryList {
  const stops = made.day.schedule.find((round) => round.therapist === therapist)?.stops ?? []
  const ahead = new Set(stops.map(({ visit }) => visit))
  const { stays, now } = base.problem
  return carryList(
    stays.filter(({ visit }) => ahead.has(visit)),
    chart,
    base.documents,
    now,
  )
}

function tried({ base, made, chart }: Desk, decision: Decision): Trial {
  const options = { freezeMinutes: base.freezeMinutes, seed: 1 }
  const repaired = decide(made.day, decision, base.now, options, base.begun)
  const then = madeFrom(repaired)
  const words = triedWords(base, decision, repaired)
  return trialOf(base, chart, then, {
    title: words,
    brings: gains(base, made, then),
    because: { kind: 'by hand', factIds: [], words: words.slice(0, 400) },
    decided: decision.kind === 'place' ? decision.visit : null,
  })
}
