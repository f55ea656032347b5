import type { AnyFact } from '../registry.ts'
import type { Chart } from './chart.ts'
import { ask, type Question, side, trueInstant } from './question.ts'

/** A device clock further off than this makes the times of its facts doubtful [min]. Design rule. */
export const CLOCK_TOLERANCE_MINUTES = 5

/** Every visit, and every device outside visits, whose facts were sent by a clock that was wrong. */
export function clockQuestions(chart: Chart): Question[] {
  const groups = new Map<string, AnyFact[]>()
  for (const fact of chart.clockOff(CLOCK_TOLERANCE_MINUTES * 60_000)) {
    const key = fact.about.visitId ?? `${fact.device} by itself`
    const known = groups.get(key)
    if (known) known.push(fact)
    else groups.set(key, [fact])
  }
  return [...groups].sort(([a], [b]) => (a < b ? -1 : 1)).map(([key, facts]) => clockWrong(chart, key, facts))
}

function clockWrong(chart: Chart, key: string, facts: readonly AnyFact[]): Question {
  const ahead = (fact: AnyFact) => chart.deviceAheadMs(fact.id) ?? 0
  const worst = facts.reduce((most, fact) => {
    const [one, other] = [Math.abs(ahead(fact)), Math.abs(ahead(most))]
    return one > other || (one === other && fact.id < most.id) ? fact : most
  })
  const { visitId, patientId, orderId } = worst.about
  const minutes = Math.round(Math.abs(ahead(worst)) / 60_000)
  const of = {
    patientId: patientId ?? null,
    orderId: orderId ?? null,
    visitIds: visitId === undefined ? [] : [visitId],
    key,
  }
  const written = side(worst, `wrote “${worst.kind}”, by the tablet’s clock`)
  const trueAt = trueInstant(chart, worst.id, worst.happenedAt)
  const sides = [
    written,
    { ...written, at: trueAt, what: 'wrote it, by the server’s clock when it was sent' },
  ]
  return {
    ...ask('clock wrong', of, sides, {
      title: 'The tablet’s clock was wrong',
      what: `The clock was ${inWords(minutes)} ${ahead(worst) > 0 ? 'ahead of' : 'behind'} the server’s when ${facts.length === 1 ? 'an entry was' : `${facts.length} entries were`} sent. The times are kept as written; say what they should be, and set the tablet’s clock.`,
    }),
    since: trueAt,
  }
}

function inWords(minutes: number): string {
  return minutes < 120 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`
}
