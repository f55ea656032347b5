import type { FastifyRequest } from 'fastify'
import { documentsInForce } from '../../chart/documents/documents-in-force.ts'
import type { Chart } from '../../chart/folds/chart.ts'
import { FhirRecord } from '../../exchange/fhir/record.ts'
import type { OwnResource } from '../../exchange/fhir/resources.ts'
import { SERVED_TYPES, type ServedType } from '../../exchange/fhir/search/parameters.ts'
import type { Query } from '../../exchange/fhir/search/read-query.ts'
import { writeAudit } from '../../exchange/fhir/write/audit.ts'
import type { WriteContext } from '../../exchange/fhir/write/basics.ts'
import { dueOfTask, MOST_DAYS, type Window } from '../../exchange/fhir/write/tasks.ts'
import type { Context } from '../context.ts'
import { Problem } from '../problem.ts'

const DAY_MS = 86_400_000
const PAGE = 2000

/** What a search found: a page, whether there is more, and how many there are in all where that was counted. */
export type Found = {
  readonly page: readonly OwnResource[]
  readonly more: boolean
  readonly total: number | null
}

/** The record of this facility as FHIR resources, at the instant of one request. */
export class FhirSource {
  readonly #parts: Pick<Context, 'ledger' | 'facility'>
  readonly context: WriteContext
  readonly record: FhirRecord
  readonly timeZone: string

  constructor({ ledger, facility, nowMs }: Context, chart: Chart) {
    const now = new Date(nowMs()).toISOString()
    const { documents } = documentsInForce(chart.facts(), now)
    this.timeZone = documents.site.content.timeZone
    this.#parts = { ledger, facility }
    this.context = {
      chart,
      facility,
      now,
      rules: {
        standardTimes: documents['standard-times'].content,
        windows: documents.windows.content,
        timeZone: this.timeZone,
      },
    }
    this.record = new FhirRecord(this.context)
  }

  async read(type: ServedType, id: string): Promise<OwnResource | null> {
    if (type === 'AuditEvent') return this.#audit(id)
    const dueAt = type === 'Task' ? dueOfTask(id) : null
    if (type === 'Task' && dueAt === null) return null
    const window =
      dueAt === null ? undefined : { from: dueAt, to: new Date(Date.parse(dueAt) + 1).toISOString() }
    return this.record.all(type, undefined, window).find((each) => each.id === id) ?? null
  }

  /** @throws Problem 400 for too long a stretch of doses */
  async search(query: Query): Promise<Found> {
    const { type, tests, count, after } = query
    const fits = (resource: OwnResource) => tests.every((test) => test(resource))
    if (type === 'AuditEvent') return this.#audits(query, fits)
    const all = this.record.all(type, query.patientIds ?? undefined, windowOf(query)).filter(fits)
    const behind = after === null ? all : all.filter(({ id = '' }) => id > after)
    return { page: behind.slice(0, count), more: count > 0 && behind.length > count, total: all.length }
  }

  /** Resources that some others point at by a parameter, each once. */
  async included(
    query: Query,
    page: readonly OwnResource[],
    targetsOf: (resource: OwnResource, name: string) => readonly string[],
  ) {
    const wanted = new Set(query.include.flatMap((name) => page.flatMap((each) => targetsOf(each, name))))
    for (const { resourceType, id } of page) wanted.delete(`${resourceType}/${id}`)
    const found: OwnResource[] = []
    for (const target of [...wanted].sort()) {
      const [type = '', id = ''] = target.split('/')
      const isTold = SERVED_TYPES.some((each) => each === type) && type !== 'AuditEvent'
      const one = isTold ? await this.read(type as ServedType, id) : null
      if (one) found.push(one)
    }
    return found
  }

  async #audit(id: string): Promise<OwnResource | null> {
    const sequence = Number(/^access-(\d{1,15})$/.exec(id)?.[1] ?? Number.NaN)
    if (!(sequence >= 1)) return null
    const [row] = await this.#parts.ledger.accessAfter(this.#parts.facility, sequence - 1, 1)
    return row?.sequence === sequence ? this.#written(row) : null
  }

  /** The log is gone through only as far as the page needs, so nobody counts it whole. */
  async #audits({ count, after }: Query, fits: (resource: OwnResource) => boolean): Promise<Found> {
    let from = Number(/^access-(\d{1,15})$/.exec(after ?? '')?.[1] ?? 0)
    const page: OwnResource[] = []
    while (page.length <= count) {
      const rows = await this.#parts.ledger.accessAfter(this.#parts.facility, from, PAGE)
      page.push(...rows.map((row) => this.#written(row)).filter(fits))
      if (rows.length < PAGE) break
      from = rows.at(-1)?.sequence ?? from
    }
    return { page: page.slice(0, count), more: count > 0 && page.length > count, total: null }
  }

  #written(row: Awaited<ReturnType<Context['ledger']['accessAfter']>>[number]): OwnResource {
    const { sequence, at, person_id: personId, what, about } = row
    return writeAudit(this.context, { sequence, at, personId, what, about })
  }
}

/** Of doses that are asked for by their time, those around it; of others the usual ones. */
function windowOf({ type, due }: Query): Window | undefined {
  if (type !== 'Task' || due === null) return undefined
  // A dose is due within its window, which reaches some hours to both sides.
  const [fromMs, toMs] = [due.fromMs - DAY_MS, due.toMs + DAY_MS]
  if (!(toMs - fromMs <= (MOST_DAYS + 2) * DAY_MS)) {
    throw new Problem(400, 'not-valid', {
      what: 'Doses without a beginning and an end, or over too long a time, are not computed.',
      todo: `Say due=ge… and due=lt…, at most ${MOST_DAYS} days apart.`,
    })
  }
  return { from: new Date(fromMs).toISOString(), to: new Date(Math.max(fromMs, toMs)).toISOString() }
}

/** The address under which these routes are reached. */
export function baseOf({ publicUrl }: Context, request: FastifyRequest): string {
  return `${publicUrl?.replace(/\/$/, '') ?? `${request.protocol}://${request.host}`}/fhir`
}
