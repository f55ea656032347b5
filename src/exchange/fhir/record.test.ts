import { beforeAll, describe, expect, it } from 'vitest'
import { DEMO_NOW, demoChart, RULES } from '../../../test/support/demo-chart.ts'
import { foundByOthers } from '../../../test/support/fhir-validators.ts'
import type { Chart } from '../../chart/folds/chart.ts'
import { checkResource } from './check-resource.ts'
import { FhirRecord, PATIENT_TYPES, SHARED_TYPES, writeCollection, writeCollections } from './record.ts'
import type { Resource } from './resources.ts'

const pathOf = ({ resourceType, id }: Resource) => `${resourceType}/${id}`

let chart: Chart
let record: FhirRecord
let resources: readonly Resource[]
beforeAll(async () => {
  chart = await demoChart()
  const context = { chart, facility: 'marrowby', now: DEMO_NOW, rules: RULES }
  record = new FhirRecord(context)
  const bundles = writeCollections(context, 'https://marrowby.example/fhir')
  const entries = bundles.flatMap(({ entry = [] }) => entry.flatMap(({ resource }) => resource ?? []))
  resources = [...new Map(entries.map((resource) => [pathOf(resource), resource])).values()]
}, 60_000)

describe('the whole record of a hospital as FHIR', () => {
  it('holds every type', () => {
    const types = new Set(resources.map(({ resourceType }) => resourceType))
    expect([...types].sort()).toEqual([...PATIENT_TYPES, ...SHARED_TYPES].toSorted())
    expect(resources.length).toBeGreaterThan(2000)
  })

  it('is right by our own checks, each resource and a bundle', () => {
    const wrong = resources.flatMap((resource) => checkResource(resource))
    expect(wrong.slice(0, 5)).toEqual([])
    const patientId = chart.patients()[0]?.patientId ?? ''
    const bundle = writeCollection(
      { chart, facility: 'marrowby', now: DEMO_NOW, rules: RULES },
      'https://marrowby.example/fhir',
      patientId,
    )
    expect(checkResource(bundle)).toEqual([])
    expect(foundByOthers(bundle)).toEqual([])
    const paths = (bundle.entry ?? []).map(({ resource }) => resource && pathOf(resource))
    expect(new Set(paths).size).toBe(paths.length)
  })

  it('is right by two programs of others', () => {
    const seen = new Map<string, number>()
    // Both are slow: some of each type and status, which between them have every way in which a resource is written.
    const some = resources.filter((resource) => {
      const kind = `${resource.resourceType} ${(resource as { status?: string }).status} ${/^[^.]*\.([a-zA-Z]+)$/.exec(resource.id ?? '')?.[1]}`
      seen.set(kind, (seen.get(kind) ?? 0) + 1)
      return (seen.get(kind) ?? 0) <= 12
    })
    expect(some.length).toBeGreaterThan(200)
    const wrong = some.flatMap((resource) => {
      const found = foundByOthers(resource)
      return found.length > 0 ? [[pathOf(resource), ...found]] : []
    })
    expect(wrong.slice(0, 5)).toEqual([])
  }, 60_000)

  it('points nowhere outside itself', () => {
    const there = new Set(resources.map(pathOf))
    const pointedAt = JSON.stringify(resources).match(/"reference":"[A-Z][^"]+"/g) ?? []
    const lost = pointedAt.map((each) => each.slice(13, -1)).filter((target) => !there.has(target))
    expect(lost).toEqual([])
    expect(pointedAt.length).toBeGreaterThan(1000)
  })

  const of = <Type extends Resource>(type: (typeof PATIENT_TYPES)[number]) =>
    record.all(type) as readonly Type[]

  it('tells as many orders, doses and signatures as there are', () => {
    expect(of('MedicationRequest')).toHaveLength(chart.orders().length)
    expect(of('Patient')).toHaveLength(chart.patients().length)
    const signed = chart.visits().filter(({ note }) => note !== null && !note.needsCosign)
    expect(signed.length).toBeGreaterThan(20)
    const given = of<Resource & { status: string }>('MedicationAdministration')
    const done = given.filter(({ status }) => status === 'completed' || status === 'stopped')
    expect(new Set(done.map(({ id }) => id?.replace(/\.\d+$/, ''))).size).toBe(signed.length)
    expect(given.filter(({ status }) => status === 'not-done').length).toBeGreaterThan(0)
  })
})
