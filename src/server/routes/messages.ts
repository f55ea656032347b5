import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { HandOrder, MessageAnswers, MessageUpload } from '../../api/schemas.ts'
import type { Context } from '../build-server.ts'
import type { Received } from '../door.ts'
import { notThere } from '../problem.ts'

/** Messages, order lists and orders by hand: all go through the one door, one after the other. */
export function messageRoutes(
  scope: FastifyInstance,
  { ledger, facility, door, chart, allow, nowMs }: Context,
): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()
  const inTurn = turnstile()

  const store = async (received: readonly Received[]) => {
    const facts = received.flatMap((each) => each.facts)
    if (facts.length > 0)
      await ledger.append(facility, {
        facts,
        receivedAt: new Date(nowMs()).toISOString(),
        deviceAheadMs: null,
      })
    return { answers: received.map(({ answer }) => answer) }
  }

  app.post(
    '/api/messages',
    { schema: { body: MessageUpload, response: { 200: MessageAnswers } } },
    async (request) => {
      await allow(request, 'bring in messages')
      const { channel, text } = request.body
      return inTurn(async () => store(door.receive(channel, text, await chart.now())))
    },
  )

  app.post(
    '/api/orders',
    { schema: { body: HandOrder, response: { 200: MessageAnswers } } },
    async (request) => {
      const { personId, role } = await allow(request, 'enter order by hand')
      const { patientId, order } = request.body
      return inTurn(async () => {
        const known = await chart.now()
        if (known.patient(patientId).mrn === null) throw notThere('The census does not know this patient.')
        return store([door.enterByHand(patientId, order, { personId, role }, known)])
      })
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
