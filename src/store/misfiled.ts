import type { Kysely } from 'kysely'
import type { FactEnvelope } from '../chart/fact.ts'
import { alsoAbout, placeOf } from './finders.ts'
import type { AlsoAboutRow, Tables, WhereaboutsRow } from './schema.ts'

const PAGE = 2000

/**
 * The first thing by which a search would miss an entry, or find one that is not there, in words; null when everything
 * is filed as the facts say. What is stored while this looks is left out. Nothing of the record itself is in doubt then:
 * the filing follows from it and can be made anew.
 */
export async function firstMisfiled(db: Kysely<Tables>, facility: string): Promise<string | null> {
  const last = await lastOf(db, facility)
  const heardOf = new Map<string, Touched>()
  for (let after = 0; after < last; after = Math.min(last, after + PAGE)) {
    const upTo = Math.min(last, after + PAGE)
    const wrong = await firstWrongPage(db, facility, after, upTo, heardOf)
    if (wrong !== null) return wrong
  }
  return firstWrongPlace(db, facility, last, heardOf)
}

/** When a patient was last heard of, and whether the census ever spoke of them. */
type Touched = { readonly at: string; readonly inCensus: boolean }

async function firstWrongPage(
  db: Kysely<Tables>,
  facility: string,
  after: number,
  upTo: number,
  heardOf: Map<string, Touched>,
): Promise<string | null> {
  const entries = await db
    .selectFrom('ledger')
    .select(['sequence', 'text', 'received_at'])
    .where('facility', '=', facility)
    .where('sequence', '>', after)
    .where('sequence', '<=', upTo)
    .orderBy('sequence')
    .execute()
  const expected = entries.flatMap(({ sequence, text, received_at }) => {
    const fact = JSON.parse(text) as FactEnvelope
    const { patientId } = fact.about
    if (patientId !== undefined) {
      const inCensus = fact.kind === 'census-updated' || (heardOf.get(patientId)?.inCensus ?? false)
      heardOf.set(patientId, { at: received_at, inCensus })
    }
    return alsoAbout(facility, fact, sequence)
  })
  const filed = await db
    .selectFrom('also_about')
    .selectAll()
    .where('facility', '=', facility)
    .where('sequence', '>', after)
    .where('sequence', '<=', upTo)
    .execute()
  return firstDifference(expected.map(lineOf), filed.map(lineOf))
}

async function firstWrongPlace(
  db: Kysely<Tables>,
  facility: string,
  last: number,
  heardOf: ReadonlyMap<string, Touched>,
): Promise<string | null> {
  const filed = await db.selectFrom('whereabouts').selectAll().where('facility', '=', facility).execute()
  const expected: WhereaboutsRow[] = []
  for (const [patientId, { at, inCensus }] of heardOf) {
    const place = inCensus ? await placeOf(db, facility, patientId) : { unit: null, is_here: 1 }
    expected.push({ facility, patient_id: patientId, touched_at: at, ...place })
  }
  // Looked up last: whoever was heard of while this looked may stand either way.
  const since = await db
    .selectFrom('ledger')
    .select('patient_id')
    .distinct()
    .where('facility', '=', facility)
    .where('sequence', '>', last)
    .execute()
  const moving = new Set(since.map(({ patient_id }) => patient_id))
  const still = (rows: readonly WhereaboutsRow[]) =>
    rows.filter(({ patient_id }) => !moving.has(patient_id)).map(placeLine)
  return firstDifference(still(expected), still(filed))
}

async function lastOf(db: Kysely<Tables>, facility: string): Promise<number> {
  const { last } = await db
    .selectFrom('ledger')
    .select(({ fn }) => fn.max('sequence').as('last'))
    .where('facility', '=', facility)
    .executeTakeFirstOrThrow()
  return Number(last ?? 0)
}

const lineOf = ({ sequence, subject, id, kind }: AlsoAboutRow) =>
  `entry ${sequence} (${kind}) under ${subject} ${id}`

const placeLine = ({ patient_id, unit, is_here, touched_at }: WhereaboutsRow) =>
  `patient ${patient_id}: ${is_here === 1 ? `here, unit ${unit ?? 'not known'}` : 'not here'}, last heard of at ${touched_at}`

function firstDifference(expected: readonly string[], filed: readonly string[]): string | null {
  const [asFiled, asExpected] = [new Set(filed), new Set(expected)]
  const missing = expected.find((line) => !asFiled.has(line))
  if (missing !== undefined) return `not filed: ${missing}`
  const surplus = filed.find((line) => !asExpected.has(line))
  return surplus === undefined ? null : `filed without an entry that says so: ${surplus}`
}
