import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { GivePassword, NewPerson, PeopleList, PersonActive } from '../../api/schemas.ts'
import { type BodyOf, writeFact } from '../../chart/registry.ts'
import type { Context } from '../context.ts'
import { requireGoodPassword } from '../passwords.ts'
import type { SignedIn } from '../people.ts'
import { notThere, Problem } from '../problem.ts'
import { writerFor } from '../writer.ts'

/** Who may sign in: listed, added, let in no more. Each change is also a fact, so that the record shows it. */
export function peopleRoutes(
  scope: FastifyInstance,
  { people, facility, ledger, record, nowMs, allow, note }: Context,
): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()

  const write = async (who: SignedIn, personId: string, body: BodyOf<'staff-recorded'>) => {
    const fact = writeFact(writerFor(who, nowMs), 'staff-recorded', { personId }, body)
    const receivedAt = new Date(nowMs()).toISOString()
    await ledger.append(facility, { facts: [fact], receivedAt, deviceAheadMs: null, together: true })
  }

  app.get('/api/people', { schema: { response: { 200: PeopleList } } }, async (request) => {
    await allow(request, 'read people')
    return { people: await people.list(facility) }
  })

  app.post('/api/people', { schema: { body: NewPerson } }, async (request) => {
    const who = await allow(request, 'change people')
    const { personId, name, role, signedOffFor, password } = request.body
    requireGoodPassword(password, [personId, facility])
    if (await people.find(facility, personId)) {
      throw new Problem(409, 'taken', { what: 'Somebody has this name already.', todo: 'Choose another.' })
    }
    await people.add({ facility, personId, name, role, password })
    await write(who, personId, { name, role, signedOffFor, active: true })
    await note(request, who, 'add person', personId)
    return { ok: true }
  })

  app.post('/api/people/active', { schema: { body: PersonActive } }, async (request) => {
    const who = await allow(request, 'change people')
    const { personId, active } = request.body
    const person = await people.find(facility, personId)
    if (!person) throw notThere('There is nobody of this name.')
    if (personId === who.personId && !active) {
      throw new Problem(409, 'yourself', {
        what: 'Nobody can shut themselves out.',
        todo: 'Ask another administrator.',
      })
    }
    await people.setActive(facility, personId, active)
    const { name, role, signedOffFor } = (await record.read((chart) => chart.person(personId))) ?? {
      name: person.name,
      role: person.role as SignedIn['role'],
      signedOffFor: [],
    }
    await write(who, personId, { name, role, signedOffFor, active })
    await note(request, who, active ? 'let in' : 'let in no more', personId)
    return { ok: true }
  })

  app.post('/api/people/password', { schema: { body: GivePassword } }, async (request) => {
    const who = await allow(request, 'change people')
    const { personId, password } = request.body
    requireGoodPassword(password, [personId, facility])
    if (!(await people.setPassword(facility, personId, password))) {
      throw notThere('There is nobody of this name.')
    }
    await note(request, who, 'give password', personId)
    return { ok: true }
  })
}
