import type { Chart } from '../../chart/folds/chart.ts'
import { placeText } from '../../chart/handover.ts'
import type { PromiseLogged } from '../../shift/index.ts'
import { listed } from './in-words.ts'

/** A promise that a plan given out has changed, as the log of the shift says it. */
export type LoggedPicture = {
  readonly id: string
  readonly words: string
  readonly why: string
  /** Whom it concerns. */
  readonly concerns: string
  readonly planId: string
  /** Who had the visit and who has it now. */
  readonly people: readonly string[]
}

/** What the plans given out so far changed, the newest first. */
export function loggedPictures(
  chart: Chart,
  clock: (instant: string) => string,
  nameOf: (personId: string) => string,
  log: readonly PromiseLogged[],
): LoggedPicture[] {
  return log.toReversed().map((entry) => {
    const { planId, dose, because, concerns } = entry
    const reason = because.words || because.kind
    return {
      id: `${planId} ${dose.orderId} ${dose.doseAt ?? dose.callId}`,
      planId,
      words: `${clock(entry.at)} ${placeText(chart.patient(entry.patientId))} ${whatWords(clock, nameOf, entry)}`,
      why: `${nameOf(entry.by)} gave out another plan (${reason})`,
      concerns: listed(concerns.map(nameOf)),
      people: concerns,
    }
  })
}

function whatWords(
  clock: (instant: string) => string,
  nameOf: (personId: string) => string,
  { kind, from, to }: PromiseLogged,
): string {
  const at = (promise: PromiseLogged['from']) => (promise ? clock(promise.startAt) : '')
  const by = (promise: PromiseLogged['from']) => (promise ? nameOf(promise.personId) : '')
  switch (kind) {
    case 'added':
      return `was added at ${at(to)}, by ${by(to)}`
    case 'other therapist':
      return `passed from ${by(from)} (${at(from)}) to ${by(to)} (${at(to)})`
    case 'later':
    case 'earlier':
      return `moved ${kind}, from ${at(from)} to ${at(to)}`
    case 'no longer planned':
      return `is no longer planned (was ${at(from)}, ${by(from)})`
  }
}
