import type { Chart } from './chart.ts'
import { orderStatusAt } from './order.ts'
import type { ShiftPlans } from './plans.ts'
import type { VisitState } from './visit.ts'

/** Two facts that cannot both be the whole truth: both are kept, and a person is asked. */
export type Question = {
  readonly id: string
  readonly kind:
    | 'dose given twice'
    | 'given after stop'
    | 'signed after correction'
    | 'clock wrong'
    | 'plans side by side'
  readonly title: string
  readonly what: string
  readonly since: string
  readonly patientId: string | null
  readonly orderId: string | null
  readonly visitIds: readonly string[]
}

/** A device clock further off than this makes the times of its facts doubtful [min]. Design rule. */
export const CLOCK_TOLERANCE_MINUTES = 5

/** Every question that the facts raise. */
export function questions(chart: Chart): Question[] {
  return [...visitQuestions(chart), ...chart.plannedShifts().flatMap(plansSideBySide)]
}

/** Two plans made without each other: nobody is asked to guess which one holds. */
function plansSideBySide({ shiftId, contested }: ShiftPlans): Question[] {
  const newest = contested.at(-1)
  if (!newest) return []
  const made = contested.map(({ issuedBy, issuedAt, device }) => `by ${issuedBy} at ${issuedAt} on ${device}`)
  return [
    {
      id: `question:plans side by side:${shiftId}:${contested.map(({ planId }) => planId).join('+')}`,
      kind: 'plans side by side',
      title: `${contested.length} plans of one shift`,
      what: `Plans were given out ${made.join(' and ')}, each without knowing of the other. Choose one on the floor view; until then the last plan that both follow holds.`,
      since: newest.issuedAt,
      patientId: null,
      orderId: null,
      visitIds: [],
    },
  ]
}

function visitQuestions(chart: Chart): Question[] {
  return chart.orders().flatMap((order) => {
    const visits = chart.visitsOf(order.orderId)
    return [
      ...givenTwice(visits),
      ...visits.flatMap((visit) => [
        ...givenAfterStop(visit, order),
        ...signedAfterCorrection(visit),
        ...clockWrong(chart, visit),
      ]),
    ]
  })
}

function givenTwice(visits: readonly VisitState[]): Question[] {
  const begun = visits.filter((visit) => visit.run.startedAt !== null && visit.doseAt !== null)
  return begun.flatMap((visit, index) => {
    const first = begun.slice(0, index).find((earlier) => earlier.doseAt === visit.doseAt)
    if (!first) return []
    return question(visit, 'dose given twice', visit.run.startedAt, [first.visitId, visit.visitId], {
      title: 'One dose, two treatments',
      what: `The dose due ${visit.doseAt} was begun at ${first.run.startedAt} by ${first.opened.by.personId} and at ${visit.run.startedAt} by ${visit.opened.by.personId}. Was it given twice?`,
    })
  })
}

function givenAfterStop(visit: VisitState, order: Parameters<typeof orderStatusAt>[0]): Question[] {
  const { startedAt } = visit.run
  if (startedAt === null) return []
  const status = orderStatusAt(order, startedAt)
  if (status !== 'discontinued' && status !== 'on hold') return []
  return question(visit, 'given after stop', startedAt, [visit.visitId], {
    title: 'Given after the order was stopped',
    what: `The order was ${status} when the treatment was begun at ${startedAt}. The tablet may not have known. Tell the prescriber.`,
  })
}

function signedAfterCorrection(visit: VisitState): Question[] {
  const cosigned = visit.note?.cosigned
  const newer = visit.note?.corrections.find(
    (correction) => cosigned && correction.factId !== cosigned.body.signs,
  )
  if (!cosigned || !newer || cosigned.body.covers.includes(newer.factId) || newer.at > cosigned.at) return []
  return question(visit, 'signed after correction', cosigned.at, [visit.visitId], {
    title: 'Co-signed before a correction was seen',
    what: `${cosigned.body.printedName} co-signed at ${cosigned.at} without the correction made at ${newer.at} by ${newer.body.printedName}. Read the corrected note and sign again.`,
  })
}

function clockWrong(chart: Chart, visit: VisitState): Question[] {
  const worst = visit.factIds
    .map((id) => ({ id, ahead: chart.deviceAheadMs(id) ?? 0 }))
    .sort((a, b) => Math.abs(b.ahead) - Math.abs(a.ahead))[0]
  if (!worst || Math.abs(worst.ahead) <= CLOCK_TOLERANCE_MINUTES * 60_000) return []
  const minutes = Math.round(Math.abs(worst.ahead) / 60_000)
  return question(visit, 'clock wrong', visit.opened.at, [visit.visitId], {
    title: 'The tablet’s clock was wrong',
    what: `The clock was ${minutes} min ${worst.ahead > 0 ? 'ahead of' : 'behind'} the server’s when this visit was sent. Its times are kept as written; say what they should be.`,
  })
}

function question(
  visit: VisitState,
  kind: Question['kind'],
  since: string | null,
  visitIds: readonly string[],
  words: { readonly title: string; readonly what: string },
): Question[] {
  const id = `question:${kind}:${visitIds.join('+')}`
  const { patientId, orderId } = visit
  return [{ id, kind, since: since ?? visit.opened.at, patientId, orderId, visitIds, ...words }]
}
