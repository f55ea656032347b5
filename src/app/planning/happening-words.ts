import type { Chart } from '../../chart/folds/chart.ts'
import { termsAt } from '../../chart/folds/order.ts'
import { placeText } from '../../chart/handover.ts'
import type { Happening } from '../../shift/index.ts'

/** What happened since the plan was given out, as people say it: "10:42 a call from 4WEST 12, albuterol". */
export function happeningWords(
  chart: Chart,
  clock: (instant: string) => string,
  nameOf: (personId: string) => string,
  fact: Happening,
): string {
  const place = placeText(chart.patient(fact.about.patientId ?? ''))
  return `${clock(fact.happenedAt)} ${whatWords(chart, clock, nameOf, fact, place)}`
}

function whatWords(
  chart: Chart,
  clock: (instant: string) => string,
  nameOf: (personId: string) => string,
  fact: Happening,
  place: string,
): string {
  const order = chart.order(fact.about.orderId ?? '')
  const title = order ? termsAt(order, fact.happenedAt).title : 'an order'
  switch (fact.kind) {
    case 'call-received':
      return `a call from ${place}, ${title}`
    case 'order-placed':
      return `a new order for ${place}, ${title}`
    case 'order-changed':
      return `${place}: ${title} was changed`
    case 'order-held':
      return `${place}: ${title} is on hold`
    case 'order-released':
      return `${place}: ${title} is no longer on hold`
    case 'order-discontinued':
      return `${place}: ${title} was stopped`
    case 'patient-away': {
      const { reason, expectedBackAt } = fact.body
      return `${place} left the unit (${reason})${expectedBackAt ? `, back about ${clock(expectedBackAt)}` : ''}`
    }
    case 'patient-back':
      return `${place} is back`
    case 'census-updated':
      return `${place}: the census says something new`
    case 'shift-assigned':
      return `${nameOf(fact.about.personId ?? '')} is on from ${clock(fact.body.from)} to ${clock(fact.body.to)}`
  }
}
