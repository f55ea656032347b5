/**
 * Issue types of FHIR R4 (value set issue-type) that are told here: a part that is missing, one that is not as it must
 * be, a code of no list, a rule that does not hold, something that is not supported, a resource that is not there.
 */
export type FhirIssue =
  | 'structure'
  | 'required'
  | 'value'
  | 'code-invalid'
  | 'invariant'
  | 'not-supported'
  | 'business-rule'
  | 'not-found'
  | 'duplicate'
  | 'multiple-matches'
  | 'informational'

/** What is wrong in a resource, and where: a path as FHIR writes it, for example `MedicationRequest.status`. */
export type FhirProblem = {
  readonly where: string
  readonly code: FhirIssue
  readonly what: string
}
