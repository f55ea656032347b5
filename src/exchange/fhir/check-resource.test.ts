import { execFileSync } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { checkResource } from './check-resource.ts'

type Resource = { readonly id?: string; readonly resourceType: string } & Record<string, unknown>
type Op = { readonly op: 'set' | 'remove'; readonly path: string; readonly value?: unknown }

const DATA = 'src/exchange/fhir/test-data'
const read = (name: string) => JSON.parse(readFileSync(`${DATA}/${name}`, 'utf8'))
const SAMPLE: { readonly entry: readonly { readonly resource: Resource }[] } = read(
  'nebulized-treatment.bundle.json',
)
const SPOILED: readonly { readonly name: string; readonly base: string; readonly ops: readonly Op[] }[] =
  read('spoiled.json').cases
/** HL7 FHIR R4 4.0.1, examples (npm package hl7.fhir.r4.examples 4.0.1, CC0-1.0), unchanged. */
const OFFICIAL = readdirSync(`${DATA}/official`)

const sampleOf = (id: string): Resource => {
  const found = SAMPLE.entry.find(({ resource }) => resource.id === id)
  if (!found) throw new Error(`no sample ${id}`)
  return structuredClone(found.resource)
}

function spoil(resource: Resource, ops: readonly Op[]): Resource {
  for (const { op, path, value } of ops) {
    const steps = path.split('/').slice(1)
    const last = steps.pop() ?? ''
    const at = steps.reduce(
      (inner, step) => inner[step] as Record<string, unknown>,
      resource as Record<string, unknown>,
    )
    if (op === 'set') at[last] = value
    else delete at[last]
  }
  return resource
}

describe('the table of shapes', () => {
  it('is what HL7’s definitions say', () => {
    const printed = execFileSync('node', ['scripts/fhir-shapes.mjs', '--print'], {
      encoding: 'utf8',
      maxBuffer: 4_000_000,
    })
    expect(JSON.parse(printed)).toEqual(
      JSON.parse(readFileSync('src/exchange/fhir/data/shapes.json', 'utf8')),
    )
  })
})

describe('what is right', () => {
  it('every resource of the sample, and the bundle itself', () => {
    expect(checkResource(SAMPLE)).toEqual([])
    expect(SAMPLE.entry.length).toBeGreaterThan(12)
    for (const { resource } of SAMPLE.entry)
      expect([resource.id, checkResource(resource)]).toEqual([resource.id, []])
  })

  it.each(OFFICIAL.filter((name) => !name.startsWith('Bundle-')))('official example %s', (name) => {
    expect(checkResource(read(`official/${name}`))).toEqual([])
  })

  it('the official transaction, but for one resource of a type that is not read here', () => {
    const problems = checkResource(read('official/Bundle-bundle-transaction.json'))
    expect(problems.map(({ code, where }) => [code, where])).toEqual([
      ['not-supported', 'Bundle.entry[7].resource'],
    ])
  })
})

describe('what is spoiled', () => {
  it.each(SPOILED)('$name', ({ base, ops }) => {
    const problems = checkResource(spoil(sampleOf(base), ops))
    expect(problems).not.toEqual([])
    for (const { where, what } of problems) {
      expect(where).toMatch(/^[A-Z]/)
      expect(what.length).toBeGreaterThan(5)
    }
  })

  const found = (id: string, ...ops: Op[]) =>
    checkResource(spoil(sampleOf(id), ops)).map(({ code, where }) => `${code} ${where}`)
  const set = (path: string, value: unknown): Op => ({ op: 'set', path, value })

  it('is told at its place and by its kind', () => {
    expect(found('order-sample', set('/status', 'running'))).toEqual([
      'code-invalid MedicationRequest.status',
    ])
    expect(found('given-sample', set('/effectivePeriod/start', '2026-03-10T07:06:00'))).toEqual([
      'value MedicationAdministration.effectivePeriod.start',
    ])
    expect(found('hr-post', set('/valueQuantity/code', 'bpm'))).toEqual(['code-invalid Observation'])
    expect(found('order-sample', set('/subject', { reference: 'Practitioner/x' }))).toEqual([
      'value MedicationRequest.subject',
    ])
    expect(
      found('order-sample', set('/subject', { reference: 'https://elsewhere.example/fhir/Device/x' })),
    ).toEqual(['value MedicationRequest.subject'])
  })

  it('dates that no calendar has, times without a zone, and halves of characters', () => {
    expect(found('pt-sample', set('/birthDate', '2026-02-29'))).toEqual(['value Patient.birthDate'])
    expect(found('pt-sample', set('/birthDate', '2024-02-29'))).toEqual([])
    expect(found('pt-sample', set('/name/0/family', 'Vale\ud800'))).toEqual(['value Patient.name[0].family'])
    expect(found('pt-sample', set('/name/0/family', 'Vale\u0007'))).toEqual(['value Patient.name[0].family'])
    expect(found('pt-sample', set('/name/0/given', []))).toEqual(['structure Patient.name[0].given'])
    expect(found('pt-sample', set('/name/0/given', [null]))).toEqual(['structure Patient.name[0].given[0]'])
  })

  it('a name that would reach into the program is an unknown element like any other', () => {
    const evil = JSON.parse(
      '{"resourceType":"Patient","__proto__":{"role":"administrator"},"constructor":{}}',
    )
    expect(checkResource(evil).map(({ code }) => code)).toEqual(['structure', 'structure'])
    expect(checkResource(JSON.parse('{"resourceType":"__proto__"}')).map(({ code }) => code)).toEqual([
      'not-supported',
    ])
    expect(checkResource({ resourceType: 'Patient', toString: 'x' })).toHaveLength(1)
  })

  it.each([null, [], 'text', 7, true, {}, { resourceType: 7 }, { resourceType: 'Elephant' }])(
    'is no resource at all: %j',
    (given) => {
      expect(checkResource(given)).toHaveLength(1)
    },
  )
})
