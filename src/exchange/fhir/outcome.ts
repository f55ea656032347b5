import { OURS } from './codes.ts'
import type { FhirProblem } from './problem.ts'
import type { OperationOutcome, OutcomeIssue } from './resources.ts'

/** What is wrong, what was not used, and what else there is to say, as FHIR tells it. */
export function outcomeOf(
  problems: readonly FhirProblem[],
  more: { readonly warnings?: readonly string[]; readonly notes?: readonly string[] } = {},
): OperationOutcome {
  const issue: OutcomeIssue[] = [
    ...problems.map(({ where, code, what }) => ({
      severity: 'error' as const,
      code,
      details: {
        coding: [{ system: OURS.error, code: 'not-used' }],
        text: clean(`${where ? `${where}: ` : ''}${what}`),
      },
      ...(where !== '' && { expression: [clean(where)] }),
    })),
    ...(more.warnings ?? []).map((text) => ({
      severity: 'warning' as const,
      code: 'informational',
      details: { text: clean(text) },
    })),
    ...(more.notes ?? []).map((text) => ({
      severity: 'information' as const,
      code: 'informational',
      details: { text: clean(text) },
    })),
  ]
  return {
    resourceType: 'OperationOutcome',
    issue:
      issue.length > 0
        ? issue
        : [{ severity: 'information', code: 'informational', details: { text: 'all well' } }],
  }
}

/** What was sent may stand in what is said of it, and a text of FHIR holds no control characters. */
function clean(text: string): string {
  return text.replace(/[^\t\n\r\u0020-\u{10ffff}]|\p{Surrogate}/gu, '\ufffd')
}
