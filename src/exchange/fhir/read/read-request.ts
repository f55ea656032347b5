import type { MedicineCodes } from '../../../chart/documents/medicine-codes.ts'
import type { OrderBody, OrderedMedicine } from '../../../chart/facts/orders.ts'
import type { TimingReading } from '../../hl7/read-frequency.ts'
import { titleOf } from '../../hl7/read-orders.ts'
import { EXTENSION, OURS, SYSTEM } from '../codes.ts'
import type { CodeableConcept, Dosage, Identifier, Medication, MedicationRequest } from '../resources.ts'
import { dosageText } from '../write/order.ts'
import { codeIn, type EntryReader, extensionOf, textOf } from './entry-reader.ts'
import { readTiming } from './read-timing.ts'

export type RequestReading = {
  readonly placer: string
  readonly order: OrderBody
  readonly status: 'active' | 'held' | 'stopped'
  readonly statusSince: string | null
  readonly statusReason: string | null
  readonly writtenAt: string | null
}

type Settings = {
  readonly timeZone: string
  readonly codes: MedicineCodes
  /** The medication that a reference points at, within the request or the bundle. */
  readonly medicationOf: (reference: string) => Medication | null
}

const STATUS: Readonly<Record<string, RequestReading['status']>> = {
  active: 'active',
  completed: 'active',
  'on-hold': 'held',
  stopped: 'stopped',
  cancelled: 'stopped',
  'entered-in-error': 'stopped',
}
const ORDERS = ['order', 'original-order', 'reflex-order', 'filler-order', 'instance-order']

/** An order for a medicine. Every part that bears on what is given, how much and when is read, or the order is refused. */
export function readRequest(
  reader: EntryReader,
  given: MedicationRequest,
  settings: Settings,
): RequestReading | null {
  reader.modifiers('', given.modifierExtension)
  if (!ORDERS.includes(given.intent)) reader.wrong('not-supported', 'intent', `a ${given.intent} is no order`)
  if (given.doNotPerform === true)
    reader.wrong(
      'not-supported',
      'doNotPerform',
      'an order that something must not be given is not read here',
    )
  const status = STATUS[given.status]
  if (!status) reader.wrong('not-supported', 'status', `an order that is ${given.status} is not read here`)
  const placer = placerOf(reader, given.identifier ?? [])
  const order = placer === null ? null : bodyOf(reader, given, placer, settings)
  const statusSince = reader.instant(
    'extension',
    extensionOf(given.extension, EXTENSION.statusChanged)?.valueDateTime,
  )
  const error = given.status === 'entered-in-error' ? 'entered in error' : null
  if (given.status === 'completed' && order && order.endAt === null)
    reader.wrong('required', 'dosageInstruction[0].timing', 'it is completed, and nothing says when it ended')
  if (!order || !status || placer === null) return null
  return {
    placer,
    order,
    status,
    statusSince,
    statusReason: textOf(given.statusReason) ?? error,
    writtenAt: given.authoredOn?.includes('T') ? reader.instant('authoredOn', given.authoredOn) : null,
  }
}

/** The number of whoever placed the order; of several numbers none is chosen. */
function placerOf(reader: EntryReader, identifiers: readonly Identifier[]): string | null {
  const typed = (code: string) =>
    identifiers.filter(({ type }) => codeIn(type, SYSTEM.identifierType) === code)
  const others = identifiers.filter(({ type }) => codeIn(type, SYSTEM.identifierType) !== 'FILL')
  const candidates = typed('PLAC').length > 0 ? typed('PLAC') : others
  const [first, second] = candidates
  if (second)
    return reader.wrong(
      'multiple-matches',
      'identifier',
      'several numbers stand there and none is marked PLAC',
    )
  return first?.value ?? reader.wrong('required', 'identifier', 'the number of the order is missing')
}

function bodyOf(
  reader: EntryReader,
  given: MedicationRequest,
  placer: string,
  settings: Settings,
): OrderBody | null {
  const [dosage, second] = given.dosageInstruction ?? []
  if (second)
    reader.wrong(
      'not-supported',
      'dosageInstruction',
      'an order with several dosages is not read here; send one order for each',
    )
  if (!dosage) return reader.wrong('required', 'dosageInstruction', 'nothing says how much and how often')
  refuseUnread(reader, dosage)
  const timing = readTiming(reader, dosage, settings.timeZone)
  const what = medicinesOf(reader, given, dosage, settings)
  if (!what) return null
  const filler = given.identifier?.find(({ type }) => codeIn(type, SYSTEM.identifierType) === 'FILL')
  const prescriber = { id: given.requester?.identifier?.value ?? '', name: given.requester?.display ?? '' }
  const route = routeOf(dosage.route)
  if (route === null) reader.wrong('required', 'dosageInstruction[0].route', 'the route is missing')
  const body: OrderBody = {
    placer,
    filler: filler?.value ?? null,
    group: given.groupIdentifier?.value ?? null,
    title: what.title,
    medicines: what.medicines,
    route,
    device: extensionOf(dosage.extension, EXTENSION.device)?.valueString ?? null,
    method: textOf(dosage.method),
    frequency: timing.frequency,
    priority: priorityOf(given, timing),
    startAt: timing.startAt,
    endAt: timing.endAt,
    prn: timing.prn,
    indication: given.reasonCode?.map(textOf).filter(Boolean).join('; ') || null,
    prescriber: prescriber.id === '' && prescriber.name === '' ? null : prescriber,
    instruction: null,
  }
  return { ...body, instruction: instructionOf(given, dosage, body) }
}

/** Limits that no order here can keep; to leave one out would be to give more than was ordered. */
function refuseUnread(reader: EntryReader, dosage: Dosage): void {
  const at = 'dosageInstruction[0]'
  reader.modifiers(at, dosage.modifierExtension)
  const { maxDosePerPeriod, maxDosePerAdministration, maxDosePerLifetime } = dosage
  if (maxDosePerPeriod ?? maxDosePerAdministration ?? maxDosePerLifetime)
    reader.wrong('not-supported', at, 'a highest dose is not read here; say it in the instruction')
  const [first, second] = dosage.doseAndRate ?? []
  if (second)
    reader.wrong('not-supported', `${at}.doseAndRate`, 'several doses for one order are not read here')
  if (first?.rateQuantity ?? first?.rateRatio ?? first?.rateRange)
    reader.wrong('not-supported', `${at}.doseAndRate[0]`, 'a rate is not read here')
}

function priorityOf({ priority }: MedicationRequest, timing: TimingReading): OrderBody['priority'] {
  if (priority === 'stat' || timing.priority === 'stat') return 'stat'
  return priority === 'asap' || priority === 'urgent' ? 'asap' : 'routine'
}

/** HL7 v2 table 0162 and v3 RouteOfAdministration, as far as a nebulizer serves them. */
const ROUTES: Readonly<Record<string, string>> = {
  IH: 'Inhalation',
  NEB: 'Inhalation',
  ORNEB: 'Inhalation',
  IPINHL: 'Inhalation',
}

function routeOf(route: CodeableConcept | undefined): string | null {
  const known = route?.coding?.map(({ code }) =>
    Object.hasOwn(ROUTES, code ?? '') ? ROUTES[code ?? ''] : undefined,
  )
  return route?.text ?? known?.find((each) => each !== undefined) ?? textOf(route)
}

type What = { readonly title: string; readonly medicines: OrderedMedicine[] }

function medicinesOf(
  reader: EntryReader,
  given: MedicationRequest,
  dosage: Dosage,
  settings: Settings,
): What | null {
  const { medicationCodeableConcept: concept, medicationReference } = given
  if (concept) return single(reader, concept, dosage, settings.codes)
  const medication = settings.medicationOf(medicationReference?.reference ?? '')
  if (!medication)
    return reader.wrong(
      'not-found',
      'medicationReference',
      'the medication it points at is not in the bundle',
    )
  reader.modifiers('medicationReference', medication.modifierExtension)
  const { ingredient, code } = medication
  if (!ingredient) {
    if (code) return single(reader, code, dosage, settings.codes)
    return reader.wrong(
      'required',
      'medicationReference',
      'the medication says neither a code nor what is in it',
    )
  }
  const dose = dosage.doseAndRate?.[0]?.doseQuantity
  if (dose?.value !== 1 || dose.code !== '{dose}')
    reader.wrong(
      'not-supported',
      'dosageInstruction[0].doseAndRate',
      'of a mixture only whole doses are read here, one at a time',
    )
  const medicines = ingredient.flatMap((each, at) => part(reader, each, at, settings.codes) ?? [])
  return medicines.length < ingredient.length
    ? null
    : { title: medicationReference?.display ?? (titleOf(medicines) || 'mixture'), medicines }
}

function single(
  reader: EntryReader,
  concept: CodeableConcept,
  dosage: Dosage,
  codes: MedicineCodes,
): What | null {
  const at = 'dosageInstruction[0].doseAndRate'
  const [dose] = dosage.doseAndRate ?? []
  const low = reader.amount(at, dose?.doseRange ? dose.doseRange.low : dose?.doseQuantity)
  const high = dose?.doseRange ? reader.amount(at, dose.doseRange.high) : null
  if (!low) return null
  if (low.value <= 0) return reader.wrong('value', at, `the amount is ${low.value}; it must be above zero`)
  if (high && high.unit !== low.unit)
    return reader.wrong('value', at, `the lower amount is in ${low.unit} and the upper in ${high.unit}`)
  const named = medicineOf(reader, 'medicationCodeableConcept', concept, codes)
  if (!named) return null
  const display = concept.coding?.find(({ system }) => system === OURS.medicine)?.display
  const medicine: OrderedMedicine = {
    ...named,
    text: display ?? named.text,
    amountMin: low.value,
    amountMax: high?.value ?? null,
    unit: low.unit,
    part: 'medicine',
  }
  return { title: concept.text ?? titleOf([medicine]), medicines: [medicine] }
}

function part(
  reader: EntryReader,
  ingredient: NonNullable<Medication['ingredient']>[number],
  index: number,
  codes: MedicineCodes,
): OrderedMedicine | null {
  const at = `medicationReference.ingredient[${index}]`
  const { itemCodeableConcept, strength, isActive, extension } = ingredient
  const named = itemCodeableConcept
    ? medicineOf(reader, at, itemCodeableConcept, codes)
    : reader.wrong('not-supported', at, 'an ingredient that is only pointed at is not read here')
  const denominator = strength?.denominator
  if (strength && !(denominator?.value === 1 && denominator.code === '{dose}'))
    return reader.wrong('not-supported', at, 'an ingredient must state its amount for one dose')
  const amount = reader.amount(at, strength?.numerator)
  if (!named || !amount) return null
  const most = extensionOf(extension, EXTENSION.amountMost)?.valueQuantity?.value ?? null
  return {
    ...named,
    amountMin: amount.value,
    amountMax: most,
    unit: amount.unit,
    part: isActive === false ? 'diluent' : 'medicine',
  }
}

/** The hospital's own code where there is one; of several codes that it knows none is chosen. */
function medicineOf(reader: EntryReader, at: string, concept: CodeableConcept, { codes }: MedicineCodes) {
  const coding = (concept.coding ?? []).filter(({ code }) => code !== undefined)
  const own = coding.find(({ system }) => system === OURS.medicine)
  const known = coding.filter(({ code }) => codes.some((each) => each.code === code))
  const meant = new Set(known.map(({ code }) => codes.find((each) => each.code === code)?.medicineId))
  if (!own && meant.size > 1)
    return reader.wrong(
      'multiple-matches',
      at,
      `its codes mean different medicines here: ${known.map(({ code }) => code).join(', ')}`,
    )
  const code = (own ?? known[0] ?? coding[0])?.code ?? ''
  const entry = codes.find((each) => each.code === code)
  const text = textOf(concept) ?? entry?.text
  if (text === undefined) return reader.wrong('required', at, 'the medicine has neither a code nor a name')
  return { medicineId: entry?.medicineId ?? null, code, text }
}

/** What is said in words goes to whoever gives it; our own sentence of the parts says nothing new. */
function instructionOf({ note = [] }: MedicationRequest, dosage: Dosage, order: OrderBody): string | null {
  const words = [
    ...(dosage.additionalInstruction ?? []).map(textOf),
    dosage.patientInstruction,
    dosage.text === dosageText(order) ? null : dosage.text,
    dosage.site && `Site: ${textOf(dosage.site) ?? ''}`,
    ...note.map(({ text }) => text),
  ]
  return words.filter(Boolean).join('\n') || null
}
