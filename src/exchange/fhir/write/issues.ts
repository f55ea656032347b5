import { type OrderFinding, type OrderState, termsAt } from '../../../chart/folds/order.ts'
import { OURS } from '../codes.ts'
import type { DetectedIssue, Reference } from '../resources.ts'
import type { Treatment } from './administration.ts'
import { fhirId, metaOf, personReference, reference, slug, type WriteContext } from './basics.ts'

const SEVERITY = { stop: 'high', ask: 'moderate', caution: 'moderate', note: 'low' } as const

/** What the review of an order found, each with the answers that were given to it. */
export function writeFindings(context: WriteContext, order: OrderState): DetectedIssue[] {
  return order.findings.map((finding) => writeFinding(context, order, finding))
}

function writeFinding(context: WriteContext, order: OrderState, finding: OrderFinding): DetectedIssue {
  const { orderId, patientId } = order
  const answers = order.answers.filter(({ code }) => code === finding.code)
  const facts = context.chart
    .factsAbout('order', orderId)
    .filter(({ kind }) => kind === 'order-reviewed' || kind === 'finding-answered')
  const mustBeAnswered = finding.severity === 'stop' || finding.severity === 'ask'
  return {
    resourceType: 'DetectedIssue',
    id: fhirId(`${fhirId(orderId)}.${slug(finding.code)}`),
    ...metaOf(facts),
    status: mustBeAnswered && answers.length === 0 ? 'preliminary' : 'final',
    code: { coding: [{ system: OURS.finding, code: slug(finding.code) }], text: finding.what },
    severity: SEVERITY[finding.severity],
    patient: reference('Patient', patientId),
    identifiedDateTime: order.terms.at(-1)?.from ?? order.placedAt,
    implicated: [reference('MedicationRequest', orderId, termsAt(order, context.now).title)],
    ...(finding.why !== '' && { detail: finding.why }),
    ...(answers.length > 0 && {
      mitigation: answers.map(({ decision, note, onWordOf, at, by }) => ({
        action: { text: `${decision}, on the word of ${onWordOf}: ${note}` },
        date: at,
        author: personReference(context, by.personId),
      })),
    }),
  }
}

type Answered = {
  readonly code: string
  readonly what: string
  readonly answer: string
  readonly weight: 'high' | 'moderate'
}

/** What was asked during a treatment, and how it was answered: at the door, at the cup, of the set-up, at a stop. */
export function writeCautions(
  context: WriteContext,
  { visit, facts, order }: Treatment,
  implicated: readonly Reference[],
): DetectedIssue[] {
  if (!visit) return []
  const asked = [
    ...from(visit.door, (body) => body.findings.map((each) => ({ ...each, weight: 'moderate' }))),
    ...from(visit.prepared, (body) => body.answered.map((each) => ({ ...each, weight: 'moderate' }))),
    ...from(visit.setUp, (body) => body.againstAdvice.map((each) => ({ ...each, weight: 'moderate' }))),
    ...visit.stops.flatMap((stop) =>
      from(stop, (body) =>
        body.rules.map(({ code, what }) => ({
          code,
          what,
          answer: [body.decision, body.reason, body.told && `told: ${body.told}`].filter(Boolean).join('; '),
          weight: 'high',
        })),
      ),
    ),
  ]
  return asked.map(({ entry, at, code, what, answer, weight }) => ({
    resourceType: 'DetectedIssue',
    id: fhirId(`${fhirId(entry.factId)}.${at + 1}`),
    ...metaOf(facts.filter(({ id }) => id === entry.factId)),
    status: 'final',
    code: { coding: [{ system: OURS.finding, code: slug(code) }], text: what },
    severity: weight,
    patient: reference('Patient', order.patientId),
    identifiedDateTime: entry.at,
    implicated: [reference('MedicationRequest', order.orderId), ...implicated],
    mitigation: [
      {
        action: { text: answer || 'seen' },
        date: entry.at,
        author: personReference(context, entry.by.personId),
      },
    ],
  }))
}

type EntryOf<Body> = {
  readonly factId: string
  readonly at: string
  readonly by: { readonly personId: string }
  readonly body: Body
}

function from<Body>(entry: EntryOf<Body> | null, asked: (body: Body) => readonly Answered[]) {
  return entry ? asked(entry.body).map((each, at) => ({ ...each, entry, at })) : []
}
