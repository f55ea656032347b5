import { judge } from '../assessment/judge-condition.ts'
import { adviseInterval, sumWords } from './advise-interval.ts'
import { adviseDevice, adviseMissed, adviseNeeded, adviseUrgent, adviseWorking } from './advise-order.ts'
import { type Course, HOUR_MS, instantMs, type PastTreatment, treatmentsInOrder } from './course.ts'
import { findingsAt, type JudgedLook, judgeLook } from './judge-look.ts'
import { judgeResponse, type Response } from './judge-response.ts'
import { defaultReassessment, type ReassessmentDocument } from './reassessment-document.ts'
import type { Evidence, Suggestion } from './suggestion.ts'

export type Reassessment = {
  readonly documentVersion: number
  readonly documentStanding: string
  readonly looks: readonly { readonly at: string; readonly judged: JudgedLook; readonly words: string }[]
  readonly responses: readonly Response[]
  /** Most pressing first. Proposals: nothing here changes an order. */
  readonly suggestions: readonly Suggestion[]
  readonly nextReview: { readonly at: string; readonly why: string }
}

/**
 * Reads the course of an order: is it working, is it still needed, could the interval be longer, should it be
 * shorter, would another device do. Every answer is a proposal with its reasons, for and against; the order itself
 * is not touched.
 * @throws BadInput or OutsideValidity for an instant, an age or an interval that cannot be used
 */
export function reassess(
  course: Course,
  document: ReassessmentDocument = defaultReassessment(),
): Reassessment {
  const treatments = treatmentsInOrder(course)
  const looks = treatments.flatMap(({ at, before }) =>
    before ? [{ at, ms: instantMs('at', at), judged: judgeLook(before, course, document) }] : [],
  )
  const responses = treatments.map(judgeResponse).filter((response) => response !== null)
  const urgent = reasonsUrgent(treatments.at(-1), course, document)
  const evidence: Evidence = { course, document, treatments, looks, responses, urgent }
  const suggestions = [
    ...adviseUrgent(evidence),
    adviseInterval(evidence),
    adviseWorking(evidence),
    ...adviseNeeded(evidence),
    ...adviseDevice(evidence),
    ...adviseMissed(evidence),
  ]
  return {
    documentVersion: document.version,
    documentStanding: document.standing,
    looks: looks.map((look) => ({
      at: look.at,
      judged: look.judged,
      words: `${look.judged.band ?? 'open'}, ${sumWords(look)}`,
    })),
    responses,
    suggestions,
    nextReview: nextReview(evidence),
  }
}

/** A life-threatening sign at the last treatment, before or after, or a stop rule that spoke during it. */
function reasonsUrgent(
  last: PastTreatment | undefined,
  course: Course,
  document: ReassessmentDocument,
): string[] {
  if (!last) return []
  const signs = [last.before, last.after].flatMap((look) => {
    if (!look) return []
    const judged = judge(document.urgent, findingsAt(look, course, document))
    return judged.holds === true ? judged.because : []
  })
  const stops = last.stopRules ?? []
  return [
    ...new Set(signs.map((sign) => `At the last treatment: ${sign}.`)),
    ...(stops.length > 0 ? [`Stop rules spoke at the last treatment: ${stops.join(', ')}.`] : []),
  ]
}

/** The earliest of: at once when something is urgent, so many hours from now, after so many doses. */
function nextReview({ course, document, treatments, urgent }: Evidence): Reassessment['nextReview'] {
  const now = instantMs('now', course.now)
  if (urgent.length > 0) return { at: iso(now), why: 'something urgent was found' }
  const { everyHours, afterDoses } = document.review
  const byClock = now + everyHours * HOUR_MS
  const { everyMinutes } = course.order
  const last = treatments.findLast(({ given }) => given)
  const byDoses =
    everyMinutes === null || !last
      ? Number.POSITIVE_INFINITY
      : Math.max(now, instantMs('at', last.at) + afterDoses * everyMinutes * 60_000)
  return byDoses < byClock
    ? { at: iso(byDoses), why: `after ${afterDoses} more doses` }
    : { at: iso(byClock), why: `${everyHours} h from now` }
}

function iso(ms: number): string {
  return new Date(ms).toISOString()
}
