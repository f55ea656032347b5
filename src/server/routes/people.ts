import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { NewPerson, PeopleList, PersonActive } from '../../api/schemas.ts'
import type { Context } from '../build-server.ts'
import { passwordProblem } from '../passwords.ts'
import { notThere, Problem } from '../problem.ts'

/** Who may sign in: listed, added, let in no more. What a person is signed off for stands in facts. */
export function peopleRoutes(scope: FastifyInstance, { people, facility, allow, note }: Context): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()

  app.get('/api/people', { schema: { response: { 200: PeopleList } } }, async (request) => {
    await allow(request, 'read people')
    return { people: await people.list(facility) }
  })

  app.post('/api/people', { schema: { body: NewPerson } }, async (request) => {
    const who = await allow(request, 'change people')
    const problem = passwordProblem(request.body.password)
    if (problem !== null)
      throw new Problem(400, 'weak-password', { what: problem, todo: 'Choose another password.' })
    if ((await people.list(facility)).some(({ personId }) => personId === request.body.personId)) {
      throw new Problem(409, 'taken', { what: 'Somebody has this name already.', todo: 'Choose another.' })
    }
    await people.add({ facility, ...request.body })
    await note(request, who, 'add person', request.body.personId)
    return { ok: true }
  })

  app.post('/api/people/active', { schema: { body: PersonActive } }, async (request) => {
    const who = await allow(request, 'change people')
    const { personId, active } = request.body
    if (!(await people.setActive(facility, personId, active))) throw notThere('There is nobody of this name.')
    await note(request, who, active ? 'let in' : 'let in no more', personId)
    return { ok: true }
  })
}
