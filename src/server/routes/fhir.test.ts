import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_NOW, demoChart } from '../../../test/support/demo-chart.ts'
import { foundByOthers } from '../../../test/support/fhir-validators.ts'
import { HERE, refusal, START, type TestServer, testServer } from '../../../test/support/test-server.ts'
import type { Chart } from '../../chart/folds/chart.ts'
import { checkResource } from '../../exchange/fhir/check-resource.ts'

// biome-ignore lint/suspicious/noExplicitAny: answers are looked at as they come
type Any = any

let server: TestServer
let chart: Chart
let lead: string
let therapist: string
beforeAll(async () => {
  server = await testServer({ staff: ['amsel', 'falk', 'keeper'] })
  server.later(Date.parse(DEMO_NOW) - Date.parse(START))
  chart = await demoChart(HERE)
  await server.ledger.append(HERE, { facts: [...chart.facts()], receivedAt: DEMO_NOW, deviceAheadMs: null })
  lead = await server.signIn('falk')
  therapist = await server.signIn('amsel')
}, 120_000)
afterAll(() => server.close())

const get = async (path: string, cookie = therapist): Promise<Any> => {
  const reply = await server.get(`/fhir/${path}`, cookie)
  if (reply.statusCode !== 200) throw new Error(`${path}: ${reply.statusCode} ${reply.body}`)
  expect(reply.headers['content-type']).toBe('application/fhir+json; charset=utf-8')
  return reply.json()
}
const post = (path: string, payload: string, type: string, cookie = therapist) =>
  server.app.inject({
    method: 'POST',
    url: `/fhir${path}`,
    payload,
    headers: { cookie, 'content-type': type },
  })
const find = async (type: string, form: Record<string, string>): Promise<Any> => {
  const reply = await post(
    `/${type}/_search`,
    new URLSearchParams(form).toString(),
    'application/x-www-form-urlencoded',
  )
  if (reply.statusCode !== 200) throw new Error(`${type}: ${reply.statusCode} ${reply.body}`)
  return reply.json()
}
const refused = async (path: string, cookie = therapist) => refusal(await server.get(`/fhir/${path}`, cookie))
/** What was found: what an answer says of the search itself is no match. */
const matches = ({ entry = [] }: Any): Any[] => entry.filter(({ search }: Any) => search?.mode !== 'outcome')
const ids = (bundle: Any): string[] => matches(bundle).map(({ resource }) => resource.id)
const somePatient = () => {
  const found = chart
    .patients()
    .find(({ patientId }) =>
      chart.ordersOf(patientId).some(({ orderId }) => chart.visitsOf(orderId).length > 2),
    )
  if (!found) throw new Error('no patient')
  return found
}

describe('the capability statement', () => {
  it('is right by our own checks and by two programs of others, and is for anybody', async () => {
    const statement = await get('metadata', '')
    expect(checkResource(statement)).toEqual([])
    expect(foundByOthers(statement)).toEqual([])
    expect(statement.fhirVersion).toBe('4.0.1')
  })

  it('claims nothing that does not work: every type is read and searched, by every parameter and include', async () => {
    const statement = await get('metadata', '')
    const [rest] = statement.rest
    let tried = 0
    for (const { type, interaction, searchParam, searchInclude = [] } of rest.resource) {
      expect(interaction.map(({ code }: Any) => code)).toEqual(['read', 'search-type'])
      const all = await get(`${type}?_count=3`, lead)
      const [{ resource }] = matches(all)
      expect(await get(`${type}/${resource.id}`, lead)).toEqual(resource)
      for (const { name, type: kind, documentation } of searchParam) {
        const value =
          kind === 'date' ? 'ge2020-01-01' : kind === 'reference' ? 'Patient/nobody' : 'no-such-thing'
        const form = name === 'due' ? '2026-03-10' : name === 'birthdate' ? '1900-01-01' : value
        const reply = documentation
          ? await post(
              `/${type}/_search`,
              new URLSearchParams({ [name]: form }).toString(),
              'application/x-www-form-urlencoded',
              lead,
            )
          : await server.get(`/fhir/${type}?${name}=${encodeURIComponent(form)}`, lead)
        expect([type, name, reply.statusCode]).toEqual([type, name, 200])
        tried += 1
      }
      for (const include of searchInclude) {
        const found = await get(`${type}?_count=20&_include=${include}`, lead)
        expect(checkResource(found)).toEqual([])
      }
    }
    expect(tried).toBeGreaterThan(50)
    expect(rest.resource[0].operation[0].name).toBe('everything')
    expect(rest.interaction.map(({ code }: Any) => code)).toEqual(['transaction', 'batch'])
  }, 60_000)

  it('leaves no type or parameter unclaimed', async () => {
    expect(await refused('Condition')).toEqual([404, 'not-there'])
    expect(await refused('Observation?performer=x')).toEqual([400, 'not-valid'])
  })
})

describe('reading', () => {
  it('gives one resource, and notes whose it was', async () => {
    const { patientId, family } = somePatient()
    expect(await get(`Patient/${patientId}`)).toMatchObject({
      resourceType: 'Patient',
      id: patientId,
      name: [{ family }],
    })
    const notes = await server.ledger.accessAfter(HERE, 0, 100_000, 'amsel')
    expect(notes.at(-1)).toMatchObject({ what: 'read as FHIR: Patient', about: patientId })
  })

  it('gives a dose that is due by its id, also one that nobody has looked at yet', async () => {
    const { entry } = await get('Task?due=ge2026-03-12&due=lt2026-03-13&_count=1')
    const [{ resource }] = entry
    expect(resource.status).toBe('requested')
    expect(await get(`Task/${resource.id}`)).toEqual(resource)
  })

  it.each([
    'Patient/nobody',
    'Task/order-x',
    'Task/x.20269999T999999999Z',
    'AuditEvent/access-0',
    'Observation/x',
    'Elephant/x',
  ])('says so when there is no %s', async (path) => {
    expect(await refused(path, lead)).toEqual([404, 'not-there'])
  })

  it('is JSON or nothing', async () => {
    const { patientId } = somePatient()
    for (const accept of ['application/fhir+xml', 'text/turtle', 'application/fhir+json; fhirVersion=5.0']) {
      const reply = await server.app.inject({
        method: 'GET',
        url: `/fhir/Patient/${patientId}`,
        headers: { cookie: therapist, accept },
      })
      expect(refusal(reply)).toEqual([406, 'only-json'])
    }
    expect(await refused(`Patient/${patientId}?_format=xml`)).toEqual([406, 'only-json'])
    const accept = 'application/fhir+xml;q=0.5, application/fhir+json; fhirVersion=4.0'
    const reply = await server.app.inject({
      method: 'GET',
      url: '/fhir/Patient?_format=json',
      headers: { cookie: therapist, accept },
    })
    expect(reply.statusCode).toBe(200)
  })
})

describe('searching', () => {
  it('by patient gives what is theirs and nothing else', async () => {
    const { patientId } = somePatient()
    for (const type of [
      'Encounter',
      'MedicationRequest',
      'MedicationAdministration',
      'Observation',
      'Task',
    ]) {
      const found = await get(`${type}?patient=${patientId}&_count=200`)
      expect(foundByOthers(found)).toEqual([])
      expect(ids(found).length).toBeGreaterThan(0)
      const subjects = found.entry.map(({ resource }: Any) => (resource.subject ?? resource.for).reference)
      expect(new Set(subjects)).toEqual(new Set([`Patient/${patientId}`]))
    }
    expect(ids(await get('Observation?patient=Patient/nobody'))).toEqual([])
  })

  it('says that only who is live was searched where nobody is named, and only there', async () => {
    const outcomes = ({ entry = [] }: Any) => entry.filter(({ search }: Any) => search.mode === 'outcome')
    const { patientId } = somePatient()
    const everybody = await get('Observation?_count=5')
    expect(checkResource(everybody)).toEqual([])
    expect(foundByOthers(everybody)).toEqual([])
    expect(outcomes(everybody)).toHaveLength(1)
    expect(JSON.stringify(outcomes(everybody))).toContain('last 72 hours')
    expect(matches(everybody)).toHaveLength(5)
    expect(outcomes(await get('Patient?_id=nobody'))).toHaveLength(1)
    expect(outcomes(await get(`Observation?patient=${patientId}`))).toEqual([])
    expect(outcomes(await get('AuditEvent?_count=2', lead))).toEqual([])
  })

  it('goes on from page to page until everything was told once', async () => {
    const { patientId } = somePatient()
    const whole = await get(`Observation?patient=${patientId}&_count=200`)
    const seen: string[] = []
    let next: string | undefined = `Observation?patient=${patientId}&_count=7`
    while (next !== undefined) {
      const page: Any = await get(next)
      expect(page.entry.length).toBeLessThanOrEqual(7)
      seen.push(...ids(page))
      const url: string | undefined = page.link.find(({ relation }: Any) => relation === 'next')?.url
      next = url?.split('/fhir/')[1]
    }
    expect(seen).toEqual([...new Set(seen)])
    expect(seen.slice(0, 200)).toEqual(ids(whole))
    expect(seen).toHaveLength(whole.total)
  })

  it('holds dates against each other as the prefixes say', async () => {
    const given = await get('MedicationAdministration?status=completed&_count=200')
    const [{ resource }] = given.entry
    const { start, end } = resource.effectivePeriod
    const total = async (date: string) =>
      (await get(`MedicationAdministration?_id=${resource.id}&effective-time=${encodeURIComponent(date)}`))
        .total
    expect(await total(`ge${start}`)).toBe(1)
    expect(await total(`gt${end}`)).toBe(0)
    expect(await total(`le${end}`)).toBe(1)
    expect(await total(`lt${start}`)).toBe(0)
    expect(await total(`sa${start}`)).toBe(0)
    expect(await total(`eb${end}`)).toBe(0)
    expect(await total('2026-03')).toBe(1)
    expect(await total('ne2026-03')).toBe(0)
    expect(await total('2025,2026')).toBe(1)
  })

  it('by code, status and category', async () => {
    const { patientId } = somePatient()
    const rates = await get(`Observation?patient=${patientId}&code=http://loinc.org|8867-4&_count=200`)
    expect(rates.total).toBeGreaterThan(0)
    expect(rates.total).toBe(
      (await get(`Observation?patient=${patientId}&code=8867-4&category=vital-signs`)).total,
    )
    expect((await get(`Observation?patient=${patientId}&code=http://snomed.info/sct|8867-4`)).total).toBe(0)
    const held = await get('MedicationRequest?status=on-hold,stopped')
    expect(new Set(matches(held).map(({ resource }) => resource.status))).toEqual(new Set(['on-hold']))
    const left = await get('MedicationAdministration?reason-not-given=therapist-called-away')
    expect(new Set(matches(left).map(({ resource }) => resource.status))).toEqual(new Set(['not-done']))
  })

  it('brings what is pointed at along when it is asked for', async () => {
    const { patientId } = somePatient()
    const found = await get(
      `MedicationAdministration?patient=${patientId}&_include=MedicationAdministration:patient&_include=MedicationAdministration:request&_count=5`,
    )
    const modes = found.entry.map(({ resource, search }: Any) => `${search.mode} ${resource.resourceType}`)
    expect(modes.filter((mode: string) => mode === 'include Patient')).toHaveLength(1)
    expect(modes.filter((mode: string) => mode === 'include MedicationRequest').length).toBeGreaterThan(0)
    expect(found.entry.filter(({ search }: Any) => search.mode === 'match').length).toBeLessThanOrEqual(5)
  })

  it('by who somebody is goes in the body only, and stands in no address, link or log', async () => {
    const { mrn, family, dob, patientId } = somePatient()
    for (const [name, value] of [
      ['identifier', mrn],
      ['family', family],
      ['birthdate', dob],
    ]) {
      expect(await refused(`Patient?${name}=${value}`)).toEqual([400, 'not-in-address'])
      const found = await find('Patient', { [name as string]: value as string })
      expect(ids(found)).toContain(patientId)
      expect(JSON.stringify(found.link)).not.toContain(value)
    }
    expect(ids(await find('Patient', { identifier: `urn:mistwright:${HERE}:record-number|${mrn}` }))).toEqual(
      [patientId],
    )
    expect(server.log()).not.toContain(mrn)
    expect(server.log()).not.toContain(family)
  })

  it('notes every patient whose data were in the answer', async () => {
    const found = await get('Encounter?_count=200')
    const notes = await server.ledger.accessAfter(HERE, 0, 100_000, 'amsel')
    const noted = (notes.at(-1)?.about ?? '').split(' ')
    expect(notes.at(-1)?.what).toBe('search as FHIR: Encounter')
    expect(noted).toEqual(
      matches(found)
        .map(({ resource }) => resource.subject.reference.slice(8))
        .sort(),
    )
  })

  it.each([
    ['Observation?_count=x', 'not a number'],
    ['Observation?date=yesterday', 'not a date'],
    ['Observation?date=2026-02-30', 'no date of the calendar'],
    ['Observation?code:text=heart', 'a modifier'],
    ['Observation?patient=', 'empty'],
    ['Observation?_sort=date', 'not known'],
    ['Observation?_include=Patient:identifier', 'no such include'],
    ['Task?due=ge2026-03-01', 'without end'],
    ['Task?due=ge2020&due=lt2026', 'too long'],
  ])('refuses %s: %s', async (path) => {
    expect(await refused(path)).toEqual([400, 'not-valid'])
  })
})

describe('the access log as AuditEvents', () => {
  it('is for whom it is meant for, a page at a time', async () => {
    expect(await refused('AuditEvent')).toEqual([403, 'not-allowed'])
    const first = await get('AuditEvent?_count=2', lead)
    expect(foundByOthers(first)).toEqual([])
    expect(ids(first)).toEqual(['access-1', 'access-2'])
    const next = first.link.find(({ relation }: Any) => relation === 'next').url.split('/fhir/')[1]
    expect(ids(await get(next, lead))).toEqual(['access-3', 'access-4'])
  })

  it('says who looked at whose data', async () => {
    const { patientId } = somePatient()
    await get(`Patient/${patientId}`)
    const found = await get(`AuditEvent?patient=${patientId}&_count=200`, lead)
    expect(found.entry.length).toBeGreaterThan(0)
    for (const { resource } of found.entry) {
      expect(resource.entity.map(({ what }: Any) => what.reference)).toContain(`Patient/${patientId}`)
    }
  })
})

describe('everything of one patient', () => {
  it('is for whom may export, is noted, and is one bundle that others find right', async () => {
    const { patientId } = somePatient()
    expect(await refused(`Patient/${patientId}/$everything`)).toEqual([403, 'not-allowed'])
    const bundle = await get(`Patient/${patientId}/$everything`, lead)
    expect(foundByOthers(bundle)).toEqual([])
    expect(bundle.type).toBe('collection')
    const notes = await server.ledger.accessAfter(HERE, 0, 100_000, 'falk')
    expect(notes.at(-1)).toMatchObject({ what: 'export as FHIR', about: patientId })
    expect(await refused('Patient/nobody/$everything', lead)).toEqual([404, 'not-there'])
  })

  it('goes into another hospital by its own door, where the same doses fall due', async () => {
    const { patientId } = somePatient()
    const bundle = await get(`Patient/${patientId}/$everything`, lead)
    const other = await testServer({ staff: ['falk'], door: 5 })
    try {
      other.later(Date.parse(DEMO_NOW) - Date.parse(START))
      const cookie = await other.signIn('falk')
      const headers = { cookie, 'content-type': 'application/fhir+json' }
      const reply = await other.app.inject({
        method: 'POST',
        url: '/fhir',
        payload: JSON.stringify(bundle),
        headers,
      })
      expect(reply.statusCode).toBe(200)
      const due = async (from: TestServer, session: string) => {
        const found = await from.get(
          `/fhir/Task?patient=${patientId}&due=ge2026-03-11&due=lt2026-03-13&_count=200`,
          session,
        )
        return found.json().entry.map(({ resource }: Any) => [resource.id, resource.restriction.period])
      }
      expect(await due(other, cookie)).toEqual(await due(server, lead))
      expect((await due(server, lead)).length).toBeGreaterThan(0)
    } finally {
      await other.close()
    }
  })
})

describe('bundles coming in', () => {
  const JSON_TYPE = 'application/fhir+json'
  const bundle = (id: string) =>
    JSON.stringify({
      resourceType: 'Bundle',
      type: 'transaction',
      entry: [
        {
          fullUrl: 'urn:uuid:61ebe359-bfdc-4613-8bf2-c5e300945f0a',
          resource: {
            resourceType: 'Patient',
            identifier: [
              {
                type: { coding: [{ system: 'http://terminology.hl7.org/CodeSystem/v2-0203', code: 'MR' }] },
                value: id,
              },
            ],
            name: [{ family: 'Newcome', given: ['Ada'] }],
          },
          request: { method: 'POST', url: 'Patient' },
        },
      ],
    })

  it('are answered once they are stored, and the first answer is given again', async () => {
    const reply = await post('', bundle('MB700001'), JSON_TYPE)
    expect(reply.statusCode).toBe(200)
    const [{ response }] = reply.json().entry
    expect(response.status).toBe('201 Created')
    expect((await get(response.location)).name[0].family).toBe('Newcome')
    const last = await server.ledger.last(HERE)
    const again = await post('', bundle('MB700001'), JSON_TYPE)
    expect([again.statusCode, again.body]).toEqual([200, reply.body])
    expect(await server.ledger.last(HERE)).toBe(last)
  })

  it('two of one at the same time become one', async () => {
    const replies = await Promise.all([1, 2, 3].map(() => post('', bundle('MB700002'), JSON_TYPE)))
    expect(new Set(replies.map(({ body }) => body)).size).toBe(1)
    expect(ids(await find('Patient', { identifier: 'MB700002' }))).toHaveLength(1)
  })

  it('are refused as a whole with 422 for what is in them, 400 for what they are, and kept all the same', async () => {
    const before = await server.ledger.last(HERE)
    const wrong = bundle('MB700003').replace('"family":"Newcome"', '"family":7')
    const reply = await post('', wrong, JSON_TYPE)
    expect([reply.statusCode, reply.json().resourceType]).toEqual([422, 'OperationOutcome'])
    expect((await post('', '{"resourceType":', JSON_TYPE)).statusCode).toBe(400)
    expect(
      (await post('', Buffer.from([0xff, 0xfe, 0x7b]).toString('latin1'), 'text/plain')).statusCode,
    ).toBe(415)
    expect(await server.ledger.last(HERE)).toBe(before + 2)
  })

  it('bytes that are no text are kept as they are', async () => {
    const headers = { cookie: therapist, 'content-type': JSON_TYPE }
    const payload = Buffer.from([0x7b, 0xff, 0x7d])
    const reply = await server.app.inject({ method: 'POST', url: '/fhir', payload, headers })
    expect(reply.statusCode).toBe(400)
    const [entry] = (await server.ledger.after(HERE, (await server.ledger.last(HERE)) - 1, 1)) ?? []
    expect(JSON.parse(entry?.text ?? '{}').body).toMatchObject({
      raw: payload.toString('base64'),
      encoding: 'base64',
    })
  })
})
