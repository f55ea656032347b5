import { VITAL_UNITS } from './codes.ts'
import type { FhirIssue } from './problem.ts'

/** A rule that a well-formed value must keep. `key` is HL7's name of it, or `house` where it is a rule of our own. */
type Rule = {
  readonly key: string
  readonly what: string
  readonly issue?: FhirIssue
  // biome-ignore lint/suspicious/noExplicitAny: what is asked is well formed by the time it is asked
  readonly holds: (value: any) => boolean
}

const has = (...values: readonly unknown[]) => values.some((value) => value !== undefined)
const implies = (one: boolean, other: boolean) => !one || other
const UCUM = 'http://unitsofmeasure.org'
const LOINC = 'http://loinc.org'

/** Choices that are present, whatever their type. */
const chosen = (value: object, stem: string) =>
  Object.keys(value).find((name) => name.startsWith(stem) && /^[A-Z]/.test(name.slice(stem.length)))

type Coded = { readonly coding?: readonly { readonly system?: string; readonly code?: string }[] }
type Measured = {
  readonly code: Coded
  readonly valueQuantity?: { readonly system?: string; readonly code?: string }
}

const loincOf = ({ code }: { readonly code: Coded }) =>
  (code.coding ?? []).flatMap((each) => (each.system === LOINC && each.code !== undefined ? [each.code] : []))
const isVital = (value: Measured) => loincOf(value).some((code) => Object.hasOwn(VITAL_UNITS, code))
const isInVitalUnit = (value: Measured) =>
  loincOf(value).every((code) => {
    const units = Object.hasOwn(VITAL_UNITS, code) ? VITAL_UNITS[code] : undefined
    const { valueQuantity: quantity } = value
    return !units || !quantity || (quantity.system === UCUM && units.includes(quantity.code ?? ''))
  })

const QUANTITY: readonly Rule[] = [
  {
    key: 'qty-3',
    what: 'a code of a unit needs its system',
    holds: ({ code, system }) => implies(has(code), has(system)),
  },
]

const isInOrder = (start: unknown, end: unknown) =>
  typeof start !== 'string' || typeof end !== 'string' || earliest(start) <= latest(end)

/** The first and last instant that a date of any precision can mean [ms]; a day is not of one zone, so it is stretched. */
function earliest(text: string): number {
  return text.includes('T') ? Date.parse(text) : Date.parse(padded(text)) - 14 * 3_600_000
}
function latest(text: string): number {
  if (text.includes('T')) return Date.parse(text)
  const from = new Date(padded(text))
  if (text.length === 4) from.setUTCFullYear(from.getUTCFullYear() + 1)
  else if (text.length === 7) from.setUTCMonth(from.getUTCMonth() + 1)
  else from.setUTCDate(from.getUTCDate() + 1)
  return from.getTime() + 12 * 3_600_000
}
const padded = (text: string) => `${text}${'-01-01'.slice(text.length - 4)}`

const ENTRY_NEEDS_REQUEST = ['batch', 'transaction', 'history']
const BUNDLES_WITH_TOTAL = ['searchset', 'history']

/**
 * Rules by type. HL7 FHIR R4 4.0.1: the invariants of the datatypes and resources named by their keys, the vital-signs
 * profile for vs-2 and its units; the others are of our own.
 */
export const RULES: Readonly<Record<string, readonly Rule[]>> = {
  Quantity: QUANTITY,
  Age: QUANTITY,
  Count: QUANTITY,
  Distance: QUANTITY,
  Duration: [
    ...QUANTITY,
    {
      key: 'drt-1',
      what: 'a duration with a value needs a UCUM code',
      holds: ({ value, system, code }) =>
        implies(has(value), has(code)) && implies(has(system), system === UCUM),
    },
  ],
  Period: [
    {
      key: 'per-1',
      what: 'it ends before it starts',
      holds: ({ start, end }) => isInOrder(start, end),
    },
  ],
  Range: [
    {
      key: 'rng-2',
      what: 'the low value is above the high one',
      holds: ({ low, high }) =>
        !(low?.value > high?.value && low?.code === high?.code && low?.unit === high?.unit),
    },
  ],
  Ratio: [
    {
      key: 'rat-1',
      what: 'numerator and denominator go together',
      holds: ({ numerator, denominator, extension }) =>
        has(numerator) === has(denominator) && has(numerator, extension),
    },
  ],
  Reference: [
    {
      key: 'house',
      what: 'a reference says nothing: neither reference, identifier nor display',
      holds: ({ reference, identifier, display, extension }) =>
        has(reference, identifier, display, extension),
    },
  ],
  Extension: [
    {
      key: 'ext-1',
      what: 'an extension has either a value or extensions',
      holds: (value) => has(value.extension) !== (chosen(value, 'value') !== undefined),
    },
  ],
  Attachment: [
    {
      key: 'att-1',
      what: 'data needs its content type',
      holds: ({ data, contentType }) => implies(has(data), has(contentType)),
    },
  ],
  ContactPoint: [
    {
      key: 'cpt-2',
      what: 'a value needs its system',
      holds: ({ value, system }) => implies(has(value), has(system)),
    },
  ],
  'Timing.repeat': [
    {
      key: 'tim-1',
      what: 'a duration needs its unit',
      holds: ({ duration, durationUnit }) => implies(has(duration), has(durationUnit)),
    },
    {
      key: 'tim-2',
      what: 'a period needs its unit',
      holds: ({ period, periodUnit }) => implies(has(period), has(periodUnit)),
    },
    {
      key: 'tim-4',
      what: 'a duration must not be below zero',
      holds: ({ duration }) => !(duration < 0),
    },
    {
      key: 'tim-5',
      what: 'a period must not be below zero',
      holds: ({ period }) => !(period < 0),
    },
    {
      key: 'tim-6',
      what: 'a longest period needs a period',
      holds: ({ period, periodMax }) => implies(has(periodMax), has(period)),
    },
    {
      key: 'tim-7',
      what: 'a longest duration needs a duration',
      holds: ({ duration, durationMax }) => implies(has(durationMax), has(duration)),
    },
    {
      key: 'tim-8',
      what: 'a highest count needs a count',
      holds: ({ count, countMax }) => implies(has(countMax), has(count)),
    },
    {
      key: 'tim-9',
      what: 'an offset needs an event that is not a meal itself',
      holds: ({ offset, when }) =>
        implies(
          has(offset),
          has(when) && !when.some((each: string) => ['C', 'CM', 'CD', 'CV'].includes(each)),
        ),
    },
    {
      key: 'tim-10',
      what: 'times of day and events do not go together',
      holds: ({ timeOfDay, when }) => !(has(timeOfDay) && has(when)),
    },
  ],
  'Patient.contact': [
    {
      key: 'pat-1',
      what: 'a contact needs a name, an address, a way to reach them or an organization',
      holds: ({ name, telecom, address, organization }) => has(name, telecom, address, organization),
    },
  ],
  MedicationAdministration: [
    {
      key: 'house',
      issue: 'business-rule',
      what: 'a dose that was not given needs a reason in words or as a code',
      holds: ({ status, statusReason }) => implies(status === 'not-done', has(statusReason)),
    },
  ],
  'MedicationAdministration.dosage': [
    {
      key: 'mad-1',
      what: 'a dosage needs a dose or a rate',
      holds: (value) => has(value.dose) || chosen(value, 'rate') !== undefined,
    },
  ],
  Observation: [
    {
      key: 'obs-6',
      what: 'a value and the reason why there is none exclude each other',
      holds: (value) => !(has(value.dataAbsentReason) && chosen(value, 'value') !== undefined),
    },
    {
      key: 'obs-7',
      what: 'a component has the same code as the whole, and the whole has a value too',
      holds: (value) =>
        chosen(value, 'value') === undefined ||
        !(value.component ?? []).some((each: Measured) =>
          loincOf(each).some((code) => loincOf(value).includes(code)),
        ),
    },
    {
      key: 'vital-signs',
      what: 'a vital sign needs the category vital-signs',
      holds: (value) =>
        !isVital(value) ||
        (value.category ?? []).some((each: Coded) => each.coding?.some(({ code }) => code === 'vital-signs')),
    },
    {
      key: 'vs-2',
      what: 'a vital sign needs a value, or the reason why there is none, or parts',
      holds: (value) =>
        !isVital(value) ||
        chosen(value, 'value') !== undefined ||
        has(value.dataAbsentReason, value.component, value.hasMember),
    },
    {
      key: 'vital-signs',
      what: 'a vital sign needs a patient and a time',
      holds: (value) => !isVital(value) || (has(value.subject) && chosen(value, 'effective') !== undefined),
    },
    {
      key: 'vital-signs',
      issue: 'code-invalid',
      what: 'the unit is not the one that is laid down for this vital sign',
      holds: isInVitalUnit,
    },
  ],
  'Observation.component': [
    {
      key: 'vital-signs',
      issue: 'code-invalid',
      what: 'the unit is not the one that is laid down for this vital sign',
      holds: isInVitalUnit,
    },
  ],
  'Observation.referenceRange': [
    {
      key: 'obs-3',
      what: 'a range needs a low or high value or a text',
      holds: ({ low, high, text }) => has(low, high, text),
    },
  ],
  Task: [
    {
      key: 'inv-1',
      what: 'it was changed before it was written',
      holds: ({ authoredOn, lastModified }) => isInOrder(authoredOn, lastModified),
    },
  ],
  Bundle: [
    {
      key: 'bdl-1',
      what: 'only search sets and histories have a total',
      holds: ({ total, type }) => implies(has(total), BUNDLES_WITH_TOTAL.includes(type)),
    },
    {
      key: 'bdl-2',
      what: 'only search sets have a search in an entry',
      holds: ({ entry, type }) =>
        type === 'searchset' || !(entry ?? []).some((each: object) => 'search' in each),
    },
    {
      key: 'bdl-3',
      what: 'every entry of a batch or transaction says its request, and no other bundle has any',
      holds: ({ entry, type }) =>
        (entry ?? []).every((each: object) => 'request' in each === ENTRY_NEEDS_REQUEST.includes(type)),
    },
    {
      key: 'bdl-7',
      what: 'two entries have the same fullUrl',
      holds: ({ entry, type }) => {
        if (type === 'history') return true
        const urls = (entry ?? []).flatMap(
          (each: { fullUrl?: string; resource?: { meta?: { versionId?: string } } }) =>
            each.fullUrl === undefined ? [] : [`${each.fullUrl} ${each.resource?.meta?.versionId ?? ''}`],
        )
        return new Set(urls).size === urls.length
      },
    },
  ],
  'Bundle.entry': [
    {
      key: 'bdl-5',
      what: 'an entry needs a resource, a request or a response',
      holds: ({ resource, request, response }) => has(resource, request, response),
    },
    {
      key: 'bdl-8',
      what: 'a fullUrl must not be of one version',
      holds: ({ fullUrl }) => !(typeof fullUrl === 'string' && fullUrl.includes('/_history/')),
    },
  ],
}
