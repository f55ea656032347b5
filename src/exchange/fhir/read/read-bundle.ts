import { canonicalJson } from '../../../chart/canonical.ts'
import { checkResource } from '../check-resource.ts'
import type { FhirProblem } from '../problem.ts'
import { readJson } from '../read-json.ts'
import type { Bundle, BundleEntry, Resource } from '../resources.ts'

/** Bundles that are taken. Of a transaction all or nothing is used; of the others each entry by itself. */
const TAKEN = ['transaction', 'batch', 'collection', 'searchset']
const ANY_RESOURCE: Resource = { resourceType: 'Patient', id: 'x' }

export type BundleReading =
  | {
      readonly ok: false
      readonly key: string | null
      readonly type: string | null
      readonly problems: readonly FhirProblem[]
    }
  | {
      readonly ok: true
      readonly key: string | null
      readonly bundle: Bundle
      readonly entries: readonly CheckedEntry[]
    }

/** An entry of a bundle with what is wrong with it by itself. */
export type CheckedEntry = {
  readonly index: number
  readonly entry: BundleEntry
  readonly resource: Resource | null
  readonly problems: readonly FhirProblem[]
}

/** Reads the text of a bundle: its frame as a whole, and each entry by itself. Never throws. */
export function readBundle(text: string): BundleReading {
  const json = readJson(text)
  if (!json.ok) return refused(null, null, [{ where: '', code: 'structure', what: json.what }])
  const { value } = json
  if (!isObject(value) || value.resourceType !== 'Bundle') {
    const type =
      isObject(value) && typeof value.resourceType === 'string' ? value.resourceType.slice(0, 80) : null
    const what = `a Bundle is taken here, and this is ${type === null ? 'none' : `a ${type}`}`
    return refused(null, type, [{ where: '', code: 'structure', what }])
  }
  const given = value.entry
  const entries = Array.isArray(given) ? given : []
  const frame = Array.isArray(given) ? { ...value, entry: entries.map(withoutResource) } : value
  const problems = checkResource(frame)
  const bundle = value as unknown as Bundle
  const key = problems.length > 0 ? null : keyOf(bundle)
  const type = `Bundle ${typeof bundle.type === 'string' ? bundle.type.slice(0, 40) : ''}`.trim()
  if (problems.length > 0) return refused(key, type, problems)
  if (!TAKEN.includes(bundle.type)) {
    const what = `a bundle of type ${bundle.type} is not taken here; ${TAKEN.join(', ')} are`
    return refused(key, type, [{ where: 'Bundle.type', code: 'not-supported', what }])
  }
  if (entries.length === 0)
    return refused(key, type, [{ where: 'Bundle.entry', code: 'required', what: 'the bundle is empty' }])
  return { ok: true, key, bundle, entries: entries.map((entry, index) => checked(bundle.type, entry, index)) }
}

function refused(key: string | null, type: string | null, problems: readonly FhirProblem[]): BundleReading {
  return { ok: false, key, type, problems }
}

/** The frame is checked with every resource taken out: one bad resource must not hide the others. */
function withoutResource(entry: unknown): unknown {
  return isObject(entry) && isObject(entry.resource) ? { ...entry, resource: ANY_RESOURCE } : entry
}

/** The lasting number of a bundle, by which it is known when it comes again. */
function keyOf({ identifier }: Bundle): string | null {
  return identifier?.value === undefined
    ? null
    : `fhir|${canonicalJson([identifier.system ?? null, identifier.value])}`
}

function checked(bundleType: string, entry: BundleEntry, index: number): CheckedEntry {
  const { resource } = entry
  const problems = [
    ...requestProblems(bundleType, entry),
    ...(resource === undefined ? [] : checkResource(resource)),
  ]
  return { index, entry, resource: resource ?? null, problems }
}

/** Resources are brought in; nothing is read, taken away or made only if. */
function requestProblems(bundleType: string, { request, resource, search }: BundleEntry): FhirProblem[] {
  if (resource === undefined) {
    if (search?.mode === 'outcome') return []
    return [
      {
        where: 'entry',
        code: 'not-supported',
        what: `${request?.method ?? 'an entry'} without a resource is not done here`,
      },
    ]
  }
  if (!request || (bundleType !== 'transaction' && bundleType !== 'batch')) return []
  const { method, url, ifMatch, ifNoneMatch, ifModifiedSince, ifNoneExist } = request
  const wrong = (what: string): FhirProblem[] => [{ where: 'entry.request', code: 'not-supported', what }]
  if (method !== 'POST' && method !== 'PUT') return wrong(`${method} is not done here`)
  if (ifMatch ?? ifNoneMatch ?? ifModifiedSince ?? ifNoneExist) return wrong('conditions are not kept here')
  const { resourceType } = resource
  const [, type, id] = /^([A-Za-z]+)(?:\/([A-Za-z0-9.-]{1,64}))?$/.exec(url) ?? []
  if (type === undefined) return wrong('the address is no type and id; conditions are not kept here')
  if (type !== resourceType)
    return wrong(`the address is of a ${type}, and the resource is a ${resourceType}`)
  if (method === 'PUT' && id !== resource.id)
    return wrong('a PUT goes to the address of the id in the resource')
  return method === 'POST' && id !== undefined ? wrong('a POST goes to the address of a type') : []
}

function isObject(given: unknown): given is Record<string, unknown> {
  return typeof given === 'object' && given !== null && !Array.isArray(given)
}
