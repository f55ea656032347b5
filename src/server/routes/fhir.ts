import type { FastifyInstance, FastifyRequest } from 'fastify'
import type { Act } from '../../chart/permissions.ts'
import { FactRefused } from '../../exchange/fact-refused.ts'
import type { SentBundle } from '../../exchange/fhir/fhir-door.ts'
import { outcomeOf } from '../../exchange/fhir/outcome.ts'
import { writeCollection } from '../../exchange/fhir/record.ts'
import type { Bundle, OwnResource } from '../../exchange/fhir/resources.ts'
import { capabilityStatement } from '../../exchange/fhir/search/capability.ts'
import { isServed, parameterOf, type ServedType } from '../../exchange/fhir/search/parameters.ts'
import { MOST_COUNT, type Query, readQuery } from '../../exchange/fhir/search/read-query.ts'
import type { Answered } from '../../exchange/receive.ts'
import type { Context } from '../context.ts'
import type { SignedIn } from '../people.ts'
import { notThere, Problem } from '../problem.ts'
import {
  noSuchType,
  notUsable,
  requireContentType,
  requireJson,
  sendFhir,
  tellFhirError,
} from './fhir-reply.ts'
import { baseOf, FhirSource } from './fhir-source.ts'

/** The largest bundle [bytes]: what the ledger keeps of one message, also where it must be kept as base64. */
const LARGEST_BUNDLE = 2_900_000
/** From one address; a program that asks more often than this asks in a circle. Design rule. */
const READS = { max: 1200, timeWindow: 60_000 }
const WRITES = { max: 600, timeWindow: 60_000 }
/** Otherwise an empty answer would read as if nobody had ever been here. */
const ONLY_LIVE = outcomeOf([], {
  notes: [
    'Only those were searched who are in the hospital or were heard of in the last 72 hours. What belongs to others is found with patient=[id], and they themselves by reading Patient/[id].',
  ],
})
const JSON_TYPES = ['application/fhir+json', 'application/json']

type OfType = { Params: { type: string } }
type OfOne = { Params: { type: string; id: string } }

/** FHIR R4: what the server can do, reading, searching, everything of a patient, and bundles coming in. */
export function fhirRoutes(app: FastifyInstance, context: Context): void {
  app.register(
    (scope, _options, done) => {
      scope.setErrorHandler(tellFhirError)
      scope.setNotFoundHandler((request, reply) =>
        tellFhirError(notThere('There is nothing at this address.'), request, reply),
      )
      // Bodies are kept to the byte, so nothing reads them before the door does.
      scope.removeAllContentTypeParsers()
      scope.addContentTypeParser(
        '*',
        { parseAs: 'buffer', bodyLimit: LARGEST_BUNDLE },
        (_request, body, ready) => ready(null, body),
      )
      routes(scope, context)
      done()
    },
    { prefix: '/fhir' },
  )
}

function routes(scope: FastifyInstance, context: Context): void {
  const { allow, note, chart, intake, door } = context
  const read = { config: { rateLimit: READS } }

  scope.get('/metadata', async (request, reply) => {
    requireJson(request, formatOf(request))
    return sendFhir(reply, capabilityStatement(baseOf(context, request)))
  })

  scope.post(
    '/',
    { bodyLimit: LARGEST_BUNDLE, prefixTrailingSlash: 'no-slash', config: { rateLimit: WRITES } },
    async (request, reply) => {
      const who = await allow(request, 'bring in messages')
      requireJson(request, formatOf(request))
      requireContentType(request, JSON_TYPES)
      await note(request, who, 'bring in messages', 'fhir')
      const sent = sentBundle(request.body)
      const [answer] = await intake.take((known) => [receive(door, sent, known)])
      return sendFhir(reply, JSON.parse(answer?.text ?? '{}'), statusOf(answer))
    },
  )

  scope.get<OfType>('/:type', read, async (request, reply) => {
    const { type, who } = await asked(context, request)
    return search(context, request, reply, type, who, paramsOf(request), [])
  })

  scope.post<OfType>('/:type/_search', read, async (request, reply) => {
    const { type, who } = await asked(context, request)
    requireContentType(request, ['application/x-www-form-urlencoded'])
    const body = request.body instanceof Buffer ? request.body.toString('utf8') : ''
    return search(context, request, reply, type, who, paramsOf(request), [...new URLSearchParams(body)])
  })

  scope.get<OfOne>('/:type/:id', read, async (request, reply) => {
    const { type, who } = await asked(context, request)
    requireJson(request, formatOf(request))
    const found = await new FhirSource(context, await chart.nowAbout([request.params.id])).read(
      type,
      request.params.id,
    )
    if (!found) throw notThere('There is no such resource.')
    await note(request, who, `read as FHIR: ${type}`, patientsOf([found]))
    return sendFhir(reply, found)
  })

  scope.get<OfOne>('/Patient/:id/$everything', read, async (request, reply) => {
    const who = await allow(request, 'export')
    requireJson(request, formatOf(request))
    const { id } = request.params
    const source = new FhirSource(context, await chart.nowAbout([id]))
    if (!(await source.read('Patient', id))) throw notThere('There is no such patient.')
    await note(request, who, 'export as FHIR', id)
    return sendFhir(reply, writeCollection(source.context, baseOf(context, request), id))
  })
}

/** Which type, and whether whoever asks may read it. */
async function asked(
  { allow }: Context,
  request: FastifyRequest<OfType>,
): Promise<{ type: ServedType; who: SignedIn }> {
  const { type } = request.params
  const act: Act = type === 'AuditEvent' ? 'read access log' : 'read chart'
  const who = await allow(request, act)
  if (!isServed(type)) throw noSuchType()
  return { type, who }
}

type Params = readonly (readonly [name: string, value: string])[]

function paramsOf(request: FastifyRequest): Params {
  return [...new URLSearchParams(request.url.split('?').slice(1).join('?'))]
}

function formatOf(request: FastifyRequest): string | null {
  return paramsOf(request).find(([name]) => name === '_format')?.[1] ?? null
}

async function search(
  context: Context,
  request: FastifyRequest,
  reply: Parameters<typeof sendFhir>[0],
  type: ServedType,
  who: SignedIn,
  inAddress: Params,
  inBody: Params,
) {
  requireJson(request, [...inAddress, ...inBody].find(([name]) => name === '_format')?.[1] ?? null)
  const source = new FhirSource(context, await context.chart.now())
  const read = (params: Params) => {
    const reading = readQuery(type, params, source.timeZone)
    if (!reading.ok) throw notUsable(400, reading.problems)
    return reading.query
  }
  if (read(inAddress).isPersonal) throw notInAddress()
  const query = read([...inAddress, ...inBody])
  // Of patients who are named, whatever their year; otherwise of those who are here or were heard of lately.
  if (query.patientIds) await context.chart.nowAbout([...query.patientIds])
  const { page, more, total } = await source.search(query)
  if (more && query.isPersonal)
    throw notUsable(400, [
      {
        where: '_count',
        code: 'not-supported',
        what: `more than ${query.count} fit; say more, or ask for up to ${MOST_COUNT}`,
      },
    ])
  const included = await source.included(query, page, (resource, name) => targetsOf(type, resource, name))
  await context.note(request, who, `search as FHIR: ${type}`, patientsOf([...page, ...included]))
  return sendFhir(
    reply,
    searchSet(baseOf(context, request), query, [...inAddress, ...inBody], { page, included, more, total }),
  )
}

type Results = {
  readonly page: readonly OwnResource[]
  readonly included: readonly OwnResource[]
  readonly more: boolean
  readonly total: number | null
}

function searchSet(
  base: string,
  { type, isPersonal, patientIds }: Query,
  params: Params,
  { page, included, more, total }: Results,
): Bundle {
  const address = (extra: Params) => {
    // What says who somebody is stands in no address, not even in one that we make.
    const kept = isPersonal ? [] : [...params.filter(([name]) => name !== '_after'), ...extra]
    const query = new URLSearchParams(kept.map(([name, value]): [string, string] => [name, value])).toString()
    return `${base}/${type}${query === '' ? '' : `?${query}`}`
  }
  const after = params.filter(([name]) => name === '_after')
  const entry = (mode: 'match' | 'include') => (resource: OwnResource) => ({
    fullUrl: `${base}/${resource.resourceType}/${resource.id}`,
    resource,
    search: { mode },
  })
  const isOfLive = patientIds === null && type !== 'AuditEvent'
  const entries = [
    ...page.map(entry('match')),
    ...included.map(entry('include')),
    ...(isOfLive ? [{ resource: ONLY_LIVE, search: { mode: 'outcome' as const } }] : []),
  ]
  return {
    resourceType: 'Bundle',
    type: 'searchset',
    ...(total !== null && { total }),
    link: [
      { relation: 'self', url: address(after) },
      ...(more ? [{ relation: 'next', url: address([['_after', page.at(-1)?.id ?? '']]) }] : []),
    ],
    ...(entries.length > 0 && { entry: entries }),
  }
}

const notInAddress = () =>
  new Problem(400, 'not-in-address', {
    what: 'Who somebody is may not stand in an address: addresses are written into logs on their way.',
    todo: 'Send the same parameters as a form, by POST to _search.',
  })

function targetsOf(type: ServedType, resource: OwnResource, name: string): readonly string[] {
  const parameter = parameterOf(type, name)
  return parameter?.kind === 'reference' ? parameter.of(resource as never) : []
}

/** Whose data these are, for the access log: ids only. */
function patientsOf(resources: readonly OwnResource[]): string | undefined {
  const found = resources.flatMap((resource) =>
    resource.resourceType === 'Patient'
      ? [resource.id ?? '']
      : (JSON.stringify(resource).match(/"Patient\/[A-Za-z0-9.-]{1,64}"/g) ?? []).map((each) =>
          each.slice(9, -1),
        ),
  )
  return found.length === 0 ? undefined : [...new Set(found)].sort().join(' ')
}

function sentBundle(body: unknown): SentBundle {
  const bytes = body instanceof Buffer ? body : Buffer.alloc(0)
  try {
    return { text: new TextDecoder('utf-8', { fatal: true, ignoreBOM: false }).decode(bytes) }
  } catch {
    return { base64: bytes.toString('base64'), whyNot: 'it is not text in UTF-8' }
  }
}

function receive(
  door: Context['door'],
  sent: SentBundle,
  known: Parameters<Context['door']['receiveBundle']>[1],
) {
  try {
    return door.receiveBundle(sent, known)
  } catch (error) {
    if (!(error instanceof FactRefused)) throw error
    throw new Problem(413, 'too-large', {
      what: 'That is larger than is taken at once.',
      todo: 'Send it in parts.',
    })
  }
}

/** All used, or each entry told by itself: 200. Refused as a whole: 422 for its content, 400 for what it is. */
function statusOf(answer: Answered | undefined): number {
  if (answer?.text?.startsWith('{"resourceType":"Bundle"')) return 200
  return answer?.code === 'AR' ? 400 : 422
}
