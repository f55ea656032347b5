import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { HandOrder, MessageAnswers, MessageUpload } from '../../api/schemas.ts'
import type { Chart } from '../../chart/folds/chart.ts'
import type { Received } from '../../exchange/receive.ts'
import { LedgerMoved } from '../../store/append.ts'
import type { Context } from '../context.ts'
import { notThere, Problem } from '../problem.ts'

/** How often a message is read anew because somebody else's facts came in between. Design rule. */
const MOST_TURNS = 20

/** Messages, order lists and orders by hand: all go through the one door, one after the other. */
export function messageRoutes(
  scope: FastifyInstance,
  { ledger, facility, door, chart, allow, note, nowMs }: Context,
): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()
  const inTurn = turnstile()

  /**
   * What a message becomes depends on all that came before it. Should the ledger grow while it is read (a tablet
   * sends, another process takes the same message), it is read again from what there is then.
   */
  const take = async (read: (chart: Chart) => readonly Received[]): Promise<MessageAnswers> => {
    for (let turn = 0; turn < MOST_TURNS; turn += 1) {
      const known = await chart.now()
      const onlyIfLast = chart.upTo
      const received = read(known)
      const answers = received.map(({ answer }) => answer)
      const facts = received.flatMap((each) => each.facts)
      if (facts.length === 0) return { answers }
      const receivedAt = new Date(nowMs()).toISOString()
      try {
        await ledger.append(facility, { facts, receivedAt, deviceAheadMs: null, onlyIfLast, together: true })
        return { answers }
      } catch (error) {
        if (!(error instanceof LedgerMoved)) throw error
      }
    }
    throw new Problem(503, 'busy', {
      what: 'Too much else came in while this was read.',
      todo: 'Send it again; nothing of it was stored.',
    })
  }

  app.post(
    '/api/messages',
    { schema: { body: MessageUpload, response: { 200: MessageAnswers } } },
    async (request) => {
      const who = await allow(request, 'bring in messages')
      const { channel, text } = request.body
      await note(request, who, 'bring in messages', channel)
      return inTurn(() => take((known) => door.receive(channel, text, known)))
    },
  )

  app.post(
    '/api/orders',
    { schema: { body: HandOrder, response: { 200: MessageAnswers } } },
    async (request) => {
      const { personId, role } = await allow(request, 'enter order by hand')
      const { patientId, order } = request.body
      return inTurn(() =>
        take((known) => {
          if (known.patient(patientId).mrn === null) throw notThere('The census does not know this patient.')
          return [door.enterByHand(patientId, order, { personId, role }, known)]
        }),
      )
    },
  )
}

/** Lets one through at a time, so that the second of two equal messages sees what the first became. */
function turnstile(): <T>(act: () => Promise<T>) => Promise<T> {
  let before: Promise<unknown> = Promise.resolve()
  return (act) => {
    const turn = before.then(act, act)
    before = turn.catch(() => undefined)
    return turn
  }
}
