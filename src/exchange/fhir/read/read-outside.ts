import type { PatientPatch } from '../../../chart/facts/census.ts'
import type { BodyOf } from '../../../chart/registry.ts'
import { OURS, SYSTEM } from '../codes.ts'
import type {
  CodeableConcept,
  Medication,
  MedicationAdministration,
  Observation,
  ObservationValue,
} from '../resources.ts'
import { codeIn, type EntryReader, textOf } from './entry-reader.ts'

type Outside = BodyOf<'outside-record-received'>
type Administration = Outside['administrations'][number]
type Observed = Outside['observations'][number]

/** HL7 v2 table 0322, in which the record holds what other systems charted: complete, partly, not given, refused. */
const ADMINISTERED: Readonly<Record<string, string>> = { completed: 'CP', stopped: 'PA', 'not-done': 'NA' }
const UNDER_WAY = ['in-progress', 'on-hold']

/** What another system gave, or did not give and why. Kept as it says; what is under way is not told yet. */
export function readAdministration(
  reader: EntryReader,
  given: MedicationAdministration,
  medicationOf: (reference: string) => Medication | null,
): Administration | null {
  reader.modifiers('', given.modifierExtension)
  reader.modifiers('dosage', given.dosage?.modifierExtension)
  if (UNDER_WAY.includes(given.status)) {
    reader.note(`a dose that is ${given.status}: nothing is made of it until it is over`)
    return null
  }
  const status = ADMINISTERED[given.status]
  if (status === undefined)
    return reader.wrong(
      'not-supported',
      'status',
      `an administration that is ${given.status} is not read here; look at what was charted before`,
    )
  const medication = medicationOf(given.medicationReference?.reference ?? '')
  const concept = given.medicationCodeableConcept ?? medication?.code
  const medicine = textOf(concept) ?? given.medicationReference?.display ?? null
  if (medicine === null)
    return reader.wrong('not-found', 'medication[x]', 'the medicine is not named, and not in the bundle')
  const dose = given.dosage?.dose
  const amount = dose === undefined ? null : reader.amount('dosage.dose', dose)
  const reason = given.statusReason?.map(textOf).filter(Boolean).join('; ')
  const at = reader.instant('effectiveDateTime', given.effectiveDateTime)
  return {
    status: status === 'NA' && /declin|refus/i.test(reason ?? '') ? 'RE' : status,
    startedAt: reader.instant('effectivePeriod.start', given.effectivePeriod?.start) ?? at,
    endedAt: reader.instant('effectivePeriod.end', given.effectivePeriod?.end) ?? at,
    medicine,
    code: codeIn(concept, OURS.medicine) ?? concept?.coding?.[0]?.code ?? '',
    amount: status === 'NA' ? 0 : (amount?.value ?? null),
    unit: amount?.unit ?? null,
    lot: medication?.batch?.lotNumber ?? null,
    expiry: wholeDate(medication?.batch?.expirationDate),
    reason: reason || null,
    by:
      given.performer
        ?.map(({ actor }) => actor.display ?? actor.identifier?.value)
        .filter(Boolean)
        .join(', ') || null,
  }
}

function wholeDate(text: string | undefined): string | null {
  return text !== undefined && text.length >= 10 ? text.slice(0, 10) : null
}

/** HL7 v2 table 0085: final, preliminary, corrected, wrong, could not be had. */
const RESULT: Readonly<Record<string, string>> = {
  registered: 'P',
  preliminary: 'P',
  final: 'F',
  amended: 'C',
  corrected: 'C',
  cancelled: 'X',
  'entered-in-error': 'W',
}

/** What another system measured: the observation itself where it has a value, and each of its parts. */
export function readObservation(reader: EntryReader, given: Observation): Observed[] {
  reader.modifiers('', given.modifierExtension)
  const status = RESULT[given.status] ?? null
  if (status === null) {
    reader.wrong('not-supported', 'status', `an observation whose status is ${given.status} is not read here`)
    return []
  }
  const at =
    reader.instant('effectiveDateTime', given.effectiveDateTime) ??
    reader.instant('effectiveInstant', given.effectiveInstant) ??
    reader.instant('effectivePeriod.start', given.effectivePeriod?.start)
  const when = given.category?.map((each) => codeIn(each, OURS.phase)).find((each) => each !== null) ?? null
  const one = (concept: CodeableConcept, value: ObservationValue, where: string) =>
    observed(reader, concept, value, where, { status, at, when })
  const whole = one(given.code, given, '')
  const parts = (given.component ?? []).flatMap((each, index) => one(each.code, each, `component[${index}].`))
  if (whole.length + parts.length === 0) {
    if (given.hasMember) reader.note('a panel: its members are read by themselves')
    else reader.wrong('not-supported', 'value[x]', 'a value of this kind is not read here')
  }
  return [...whole, ...parts]
}

function observed(
  reader: EntryReader,
  concept: CodeableConcept,
  value: ObservationValue,
  where: string,
  shared: Pick<Observed, 'status' | 'at' | 'when'>,
): Observed[] {
  const {
    valueQuantity: quantity,
    valueCodeableConcept: coded,
    valueString,
    valueBoolean,
    valueInteger,
    dataAbsentReason,
  } = value
  const code = codeIn(concept, SYSTEM.loinc) ?? concept.coding?.[0]?.code ?? ''
  const rest = {
    code,
    text: textOf(concept) ?? code,
    flag: value.interpretation?.map(textOf).filter(Boolean).join(', ') || null,
    ...shared,
  }
  const words = (said: readonly (string | null | undefined)[]) => [
    { ...rest, value: null, said: said.flatMap((each) => each ?? []), unit: null },
  ]
  if (quantity?.comparator !== undefined)
    return words([
      `${quantity.comparator} ${quantity.value ?? ''} ${quantity.unit ?? quantity.code ?? ''}`.trim(),
    ])
  if (quantity) {
    if (quantity.value === undefined)
      reader.wrong('required', `${where}valueQuantity`, 'the value is missing')
    return [
      { ...rest, value: quantity.value ?? null, said: [], unit: quantity.code ?? quantity.unit ?? null },
    ]
  }
  if (valueInteger !== undefined) return [{ ...rest, value: valueInteger, said: [], unit: null }]
  if (coded) return words([textOf(coded)])
  if (valueString !== undefined) return words([valueString])
  if (valueBoolean !== undefined) return words([valueBoolean ? 'yes' : 'no'])
  if (dataAbsentReason)
    return [{ ...rest, status: 'X', value: null, said: [], unit: null, flag: textOf(dataAbsentReason) }]
  return []
}

const BODY: Readonly<
  Record<
    string,
    { readonly key: 'weightKg' | 'heightCm'; readonly factors: Readonly<Record<string, number>> }
  >
> = {
  '29463-7': { key: 'weightKg', factors: { kg: 1, g: 0.001 } },
  '8302-2': { key: 'heightCm', factors: { cm: 1 } },
}

/** Weight or height, which doses are held against; null when the observation is of something else. */
export function readBody(
  reader: EntryReader,
  given: Observation,
): { readonly at: string | null; readonly patch: PatientPatch } | null {
  const code = codeIn(given.code, SYSTEM.loinc)
  const body = code !== null && Object.hasOwn(BODY, code) ? BODY[code] : undefined
  if (!body || !['final', 'amended', 'corrected'].includes(given.status) || !given.valueQuantity) return null
  const { value, code: unit = '' } = given.valueQuantity
  const factor = Object.hasOwn(body.factors, unit) ? body.factors[unit] : undefined
  if (factor === undefined || value === undefined) {
    reader.wrong(
      'not-supported',
      'valueQuantity',
      `given in ${unit || 'no unit'}; read here: ${Object.keys(body.factors).join(', ')}`,
    )
    return null
  }
  // Six decimals hide the binary remainder of a factor.
  return {
    at: reader.instant('effectiveDateTime', given.effectiveDateTime),
    patch: { [body.key]: Number((value * factor).toFixed(6)) },
  }
}
