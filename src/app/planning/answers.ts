import { type Decision, DecisionRefused, decide } from '../../rounds/replan/decide.ts'
import { afresh, goesHome } from './answers-floor.ts'
import { helpWords, staffing } from './answers-help.ts'
import { refusedWords, triedWords } from './decision-words.ts'
import type { Desk } from './desk.ts'
import { explain } from './explain-answer.ts'
import { gains } from './gains.ts'
import { trialOf } from './made-plan.ts'
import type { Answer, Ask, Trial } from './messages.ts'
import { placeBefore } from './place-before.ts'
import { madeFrom } from './search.ts'

/** Answers what a person asks. What cannot be done comes back with the reason and with what to do. */
export function answerTo(ask: Ask, desk: Desk): Answer<Ask['what']> {
  try {
    return answered(ask, desk)
  } catch (error) {
    if (error instanceof DecisionRefused) return refusedWords(desk.base, error)
    throw error
  }
}

function answered(ask: Ask, desk: Desk): Answer<Ask['what']> {
  switch (ask.what) {
    case 'explain':
      return explain(desk, ask.visit)
    case 'try':
      return { ok: true, value: tried(desk, ask.decision) }
    case 'try before': {
      const found = placeBefore(desk, ask.visit, ask.before)
      return found.ok ? { ok: true, value: tried(desk, found.decision) } : found
    }
    case 'help':
      return { ok: true, value: helpWords(desk) }
    case 'staffing':
      return { ok: true, value: staffing(desk) }
    case 'goes home':
      return { ok: true, value: goesHome(desk, ask.therapist, ask.at) }
    case 'afresh':
      return { ok: true, value: afresh(desk) }
  }
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
  })
}
