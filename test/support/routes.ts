import { QID_ALBUTEROL } from './facts.ts'
import { START } from './test-server.ts'

const LOOK = { id: '0198c1d2-7a00-7000-8000-000000000001', at: START, patientId: 'nobody', where: 'patient' }
const PULL = { device: 'tablet-1', waiting: 0, after: 0, mark: null, from: 0, scope: null, beside: [] }

export type RouteRow = readonly [method: 'GET' | 'POST', url: string, body: object | null, whom: string]

/** Every route, with a request that is well formed, and whom it is for. `all`: whoever is signed in; `any`: nobody need be. */
export const ROUTES: readonly RouteRow[] = [
  ['GET', '/api/me', null, 'all'],
  ['POST', '/api/pull', PULL, 'TLERPA'],
  ['POST', '/api/pull/patients', { device: 'tablet-1', waiting: 0, ids: ['nobody'] }, 'TLERPA'],
  ['GET', '/api/live', null, 'TLERPA'],
  ['GET', '/api/learned', null, 'TLERPA'],
  ['GET', '/api/verify', null, 'TLERPA'],
  ['GET', '/api/export/facts.ndjson', null, 'LA'],
  ['GET', '/api/handovers/none.pdf', null, 'TLERPA'],
  ['GET', '/api/people', null, 'LA'],
  ['GET', '/api/access-log', null, 'LA'],
  ['POST', '/api/looks', { sentAt: START, device: 'tablet-1', looks: [LOOK] }, 'TLERPA'],
  ['GET', '/api/tablets', null, 'LA'],
  ['POST', '/api/tablets/end', { device: 'none', personId: 'none' }, 'LA'],
  ['POST', '/api/tablet', { device: 'tablet-1' }, 'all'],
  ['POST', '/api/facts', { sentAt: START, facts: [] }, 'all'],
  ['POST', '/api/messages', { channel: 'hl7v2', text: 'MSH|' }, 'TLA'],
  ['POST', '/api/orders', { patientId: 'nobody', order: QID_ALBUTEROL }, 'TL'],
  ['POST', '/api/people', { personId: 'newcomer', name: 'N', role: 'therapist', password: 'short' }, 'A'],
  ['POST', '/api/people/active', { personId: 'none', active: false }, 'A'],
  ['POST', '/api/people/password', { personId: 'none', password: 'nine quiet lanterns' }, 'A'],
  ['POST', '/api/pin', { password: 'wrong', pin: '284617' }, 'all'],
  ['POST', '/api/password', { password: 'wrong', newPassword: 'nine quiet lanterns' }, 'all'],
  ['POST', '/api/unlock', { pin: '284617' }, 'all'],
  ['POST', '/api/lock', {}, 'all'],
  ['POST', '/api/sign-in', { username: 'nobody', password: 'x' }, 'any'],
  ['POST', '/api/sign-out', {}, 'any'],
  ['GET', '/api/sign-in-ways', null, 'any'],
  ['GET', '/api/hospital-sign-in', null, 'any'],
  ['GET', '/api/hospital-sign-in/done', null, 'any'],
  ['GET', '/fhir/metadata', null, 'any'],
  ['GET', '/fhir/Patient', null, 'TLERPA'],
  ['GET', '/fhir/AuditEvent', null, 'LA'],
  ['GET', '/fhir/Patient/none', null, 'TLERPA'],
  ['GET', '/fhir/AuditEvent/access-1', null, 'LA'],
  ['GET', '/fhir/Patient/none/$everything', null, 'LA'],
  ['POST', '/fhir/Patient/_search', {}, 'TLERPA'],
  ['POST', '/fhir/AuditEvent/_search', {}, 'LA'],
  ['POST', '/fhir', { resourceType: 'Bundle', type: 'batch', entry: [] }, 'TLA'],
  ['GET', '/api/health', null, 'any'],
  ['GET', '/api/ready', null, 'any'],
  ['GET', '/api/metrics', null, 'any'],
]

/** The address of a row as the server names it, with its parameters. */
export function patternOf(url: string): string {
  return url
    .replace('none.pdf', ':file')
    .replace(/^\/fhir\/Patient\/none\/\$/, '/fhir/Patient/:id/$')
    .replace(/^\/fhir\/[A-Z][A-Za-z]+/, (found) => (url.includes('$') ? found : '/fhir/:type'))
    .replace(/^\/fhir\/:type\/(none|access-1)$/, '/fhir/:type/:id')
}
