import { COMMON, PARAMETERS, SERVED_TYPES, type ServedType } from './parameters.ts'

const NOTES: Partial<Record<ServedType, string>> = {
  Task: 'A task is one dose that falls due. Without due, those from 72 hours ago to 24 hours ahead are told; with it, at most 31 days.',
  AuditEvent: 'The access log of this server. Only for roles that may read it.',
  MedicationAdministration:
    'What was charted here: completed, stopped, not-done with its reason, or entered-in-error.',
}

/**
 * What this server does with FHIR R4, drawn from the very tables that it works by.
 * @param base the address under which it is reached
 */
export function capabilityStatement(base: string) {
  return {
    resourceType: 'CapabilityStatement',
    status: 'active',
    date: '2026-11-25',
    kind: 'instance',
    software: { name: 'Mistwright' },
    implementation: { description: "The record of one hospital's nebulized treatments", url: base },
    fhirVersion: '4.0.1',
    format: ['application/fhir+json', 'json'],
    rest: [
      {
        mode: 'server',
        documentation:
          'Bundles of type transaction, batch, collection and searchset are taken at the base address. Searches that say who somebody is (identifier, family, birthdate) are taken by POST to _search only.',
        security: {
          cors: false,
          description:
            'The same signing in as the app: POST /api/sign-in gives the session cookie. Every answer with patient data is noted in the access log.',
        },
        resource: SERVED_TYPES.map((type) => ({
          type,
          ...(NOTES[type] !== undefined && { documentation: NOTES[type] }),
          interaction: [{ code: 'read' }, { code: 'search-type' }],
          versioning: 'no-version',
          searchInclude: Object.entries(PARAMETERS[type]).flatMap(([name, { kind }]) =>
            kind === 'reference' ? [`${type}:${name}`] : [],
          ),
          searchParam: Object.entries({ ...COMMON, ...PARAMETERS[type] }).map(
            ([name, { kind, ...more }]) => ({
              name,
              type: kind,
              ...('isPersonal' in more && { documentation: 'By POST to _search only.' }),
            }),
          ),
          ...(type === 'Patient' && {
            operation: [
              {
                name: 'everything',
                definition: 'http://hl7.org/fhir/OperationDefinition/Patient-everything',
                documentation: 'Everything about one patient, for roles that may export.',
              },
            ],
          }),
        })).map(({ searchInclude, ...rest }) => ({
          ...rest,
          ...(searchInclude.length > 0 && { searchInclude }),
        })),
        interaction: [{ code: 'transaction' }, { code: 'batch' }],
      },
    ],
  }
}
