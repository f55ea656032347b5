import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { HandOrder, MessageAnswers, MessageUpload } from '../../api/schemas.ts'
import type { Context } from '../context.ts'
import { notThere } from '../problem.ts'

/** Messages, order lists and orders by hand: all go through the one door, one after the other. */
export function messageRoutes(scope: FastifyInstance, { door, intake, allow, note }: Context): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()
  app.post(
    '/api/messages',
    { schema: { body: MessageUpload, response: { 200: MessageAnswers } } },
    async (request) => {
      const who = await allow(request, 'bring in messages')
      const { channel, text } = request.body
      await note(request, who, 'bring in messages', channel)
      return { answers: await intake.take((known) => door.receive(channel, text, known)) }
    },
  )

  app.post(
    '/api/orders',
    { schema: { body: HandOrder, response: { 200: MessageAnswers } } },
    async (request) => {
      const { personId, role } = await allow(request, 'enter order by hand')
      const { patientId, order } = request.body
      const answers = await intake.take((known) => {
        if (known.patient(patientId).mrn === null) throw notThere('The census does not know this patient.')
        return [door.enterByHand(patientId, order, { personId, role }, known)]
      })
      return { answers }
    },
  )
}
