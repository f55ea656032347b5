import type { Course } from './course.ts'
import type { Reassessment } from './reassess.ts'
import { intervalWords, type Suggestion } from './suggestion.ts'

/** Who and where: what a message has to name so that nobody acts on another patient. */
export type MessageParties = {
  /** Name and a second identifier, as the hospital writes them. */
  readonly patient: string
  readonly place: string
  readonly prescriber: string
  readonly author: string
  /** Shows an instant as local time. */
  readonly clock: (instant: string) => string
}

/** A message in the order situation, background, assessment, recommendation, for a person to read, correct and send. */
export type DraftedMessage = {
  readonly situation: string
  readonly background: string
  readonly assessment: string
  readonly recommendation: string
  readonly text: string
}

const MENTIONED = 3

/** Drafts a message to the prescriber from what was recorded and what was suggested, and from nothing else. */
export function draftMessage(
  course: Course,
  reassessment: Reassessment,
  parties: MessageParties,
): DraftedMessage {
  const { suggestions } = reassessment
  const parts = {
    situation: situation(course, suggestions, parties),
    background: background(course, reassessment, parties),
    assessment: assessment(reassessment, parties),
    recommendation: recommendation(suggestions),
  }
  const text = [
    `To ${parties.prescriber}, from ${parties.author}.`,
    `Situation: ${parts.situation}`,
    `Background: ${parts.background}`,
    `Assessment: ${parts.assessment}`,
    `Recommendation: ${parts.recommendation}`,
  ].join('\n')
  return { ...parts, text }
}

function situation({ order }: Course, suggestions: readonly Suggestion[], parties: MessageParties): string {
  const urgent = suggestions.find(({ kind }) => kind === 'tell the prescriber now')
  const about = `${parties.patient}, ${parties.place}: ${order.title}, ${intervalWords(order.everyMinutes)}.`
  return urgent ? `${about} Urgent: ${urgent.because.join(' ')}` : `${about} Reassessment of the order.`
}

function background(course: Course, { looks }: Reassessment, { clock }: MessageParties): string {
  const { treatments, ageYears, order } = course
  const given = treatments.filter((each) => each.given).length
  const asNeeded = treatments.filter((each) => each.given && each.prn).length
  const missed = treatments.length - given
  const first = treatments
    .map(({ at }) => at)
    .reduce((a, b) => (Date.parse(b) < Date.parse(a) ? b : a), course.now)
  return [
    `Age ${Math.floor(ageYears)}.`,
    treatments.length === 0
      ? 'No treatment on record.'
      : `Since ${clock(first)}: ${given} treatments given, ${asNeeded} of them as needed, ${missed} not given.`,
    looks.length === 0 ? 'No look before a treatment on record.' : '',
    order.homeEveryMinutes === undefined ? '' : `At home ${intervalWords(order.homeEveryMinutes)}.`,
    `By ${order.device}.`,
  ]
    .filter((line) => line !== '')
    .join(' ')
}

function assessment({ looks, responses, suggestions }: Reassessment, { clock }: MessageParties): string {
  const seen = looks.slice(-MENTIONED).map(({ at, words }) => `${clock(at)} ${words}`)
  const did = responses.slice(-MENTIONED).map(({ at, verdict }) => `${clock(at)} ${verdict}`)
  const working = suggestions.find(({ kind }) =>
    ['working', 'not working', 'response not known'].includes(kind),
  )
  return [
    seen.length > 0 ? `Before treatments: ${seen.join('; ')}.` : '',
    did.length > 0 ? `After against before: ${did.join('; ')}.` : '',
    working ? working.what : '',
  ]
    .filter((line) => line !== '')
    .join(' ')
}

function recommendation(suggestions: readonly Suggestion[]): string {
  const asked = suggestions.filter(({ asksPrescriber }) => asksPrescriber)
  if (asked.length === 0) return 'None: for your information. The order stands.'
  const lines = asked.map(({ what, against }) =>
    [what, ...against.map((reason) => `But: ${reason}`)].join(' '),
  )
  return `${lines.join(' ')} Please confirm or change; the order stands until then.`
}
