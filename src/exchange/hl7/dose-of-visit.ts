import type { Measurements } from '../../chart/facts/measurements.ts'
import type { OrderBody } from '../../chart/facts/orders.ts'
import type { Entry, VisitState } from '../../chart/folds/visit.ts'
import type { BodyOf } from '../../chart/registry.ts'
import { BadInput } from '../../clinical/worked.ts'
import table from './observation-codes.table.json' with { type: 'json' }
import type { WrittenDose, WrittenMedicine } from './write-given.ts'
import type { WrittenObservation } from './write-observations.ts'
import type { Coded, WrittenPatient } from './write-segments.ts'

type Kind = keyof typeof table.codes
type When = BodyOf<'measured'>['when']

const PHASES: Readonly<Record<When, string>> = {
  before: 'PRE',
  'part-way': 'DURING',
  'at stop': 'STOP',
  after: 'POST',
}
const NEBULIZER: Coded = { code: 'NEB', text: 'Nebulizer', system: 'HL70164' }

/** What is told of a visit. */
export type ToldVisit = Pick<
  VisitState,
  'visitId' | 'notGiven' | 'note' | 'ended' | 'run' | 'measured' | 'medicines'
>

/** What a dose's message needs that the visit does not hold. */
export type DoseContext = {
  readonly patient: WrittenPatient
  /** The terms of the order that were in force. */
  readonly order: OrderBody
  /** A, or U when the visit was sent before and has been corrected since; then its observations are corrections too. */
  readonly action: 'A' | 'U'
  readonly nameOf: (personId: string) => string
}

/**
 * A visit that is over, as the dose that is sent to others: not given with its reason, or given with start, end,
 * medicines, lots and measurements. What was left in the cup of a stopped treatment is not counted as given; when
 * that is not known, no amount is said.
 * @throws BadInput while the visit is not over, or when it says nothing of what was given
 */
export function doseOfVisit(visit: ToldVisit, context: DoseContext): WrittenDose {
  const { notGiven, note, ended, run } = visit
  const { patient, order, action, nameOf } = context
  const common = { patient, order: { placer: order.placer, filler: order.filler }, action }
  if (notGiven !== null) {
    const { reason, note: words } = notGiven.body
    return {
      ...common,
      medicines: order.medicines
        .filter(({ part }) => part === 'medicine')
        .map(({ code, text, unit }) => ({
          what: local(code, text),
          amount: 0,
          unit: unit ?? '',
          ...NO_PACK,
        })),
      status: reason === 'declined by patient' ? 'RE' : 'NA',
      startedAt: notGiven.at,
      endedAt: notGiven.at,
      enteredAt: notGiven.at,
      by: { id: notGiven.by.personId, name: nameOf(notGiven.by.personId) },
      device: null,
      reason: local(reason.replace(/[^a-z]+/g, '-'), reason),
      note: words === '' ? null : words,
      observations: observationsOf(visit, action),
    }
  }
  if (note === null || ended === null || run.startedAt === null) {
    throw new BadInput(
      'visit',
      visit.visitId,
      'a visit whose note is signed, or whose dose was charted as not given',
    )
  }
  const { signed } = note
  return {
    ...common,
    medicines: ended.body.given.map((given) => medicineOf(given, visit, order, ended.body.how)),
    status: ended.body.how === 'finished' ? 'CP' : 'PA',
    startedAt: run.startedAt,
    endedAt: run.endedAt ?? ended.at,
    enteredAt: signed.at,
    by: { id: signed.by.personId, name: signed.body.printedName },
    device: NEBULIZER,
    reason: null,
    note: ended.body.next === '' ? null : ended.body.next,
    observations: observationsOf(visit, action),
  }
}

const NO_PACK = { lot: null, expiry: null } as const

function medicineOf(
  given: BodyOf<'treatment-ended'>['given'][number],
  visit: ToldVisit,
  order: OrderBody,
  how: 'finished' | 'stopped',
): WrittenMedicine {
  const ordered = order.medicines.find(({ medicineId }) => medicineId === given.medicineId)
  const pack = visit.medicines.find(({ body }) => body.medicineId === given.medicineId)?.body
  return {
    what: local(ordered?.code ?? given.medicineId, given.text),
    amount: how === 'finished' ? given.nominal : given.outOfCup,
    unit: given.unit,
    lot: pack?.lot ?? null,
    expiry: pack?.expiry ?? null,
  }
}

function observationsOf(visit: ToldVisit, action: 'A' | 'U'): WrittenObservation[] {
  const status = action === 'A' ? 'F' : 'C'
  return visit.measured.flatMap((entry) => [
    ...valuesOf(entry.body.values).map(({ kind, value }) => observation(entry, kind, value, status, null)),
    ...entry.body.notMeasured.flatMap(({ measure, why }) =>
      measure in table.codes ? [observation(entry, measure as Kind, null, 'X', why)] : [],
    ),
  ])
}

function observation(
  entry: Entry<'measured'>,
  kind: Kind,
  value: WrittenObservation['value'],
  status: WrittenObservation['status'],
  note: string | null,
): WrittenObservation {
  const { unit, ...what } = table.codes[kind]
  const phase = PHASES[entry.body.when]
  return { what, phase, value, unit: value === null ? null : unit, status, at: entry.at, note }
}

type Value = { readonly kind: Kind; readonly value: WrittenObservation['value'] }

/** The measured values in the order in which they are written; the best of several blows stands for all. */
function valuesOf(values: Measurements): Value[] {
  const { heartRatePerMin, respiratoryRatePerMin, spo2Percent, peakFlowLPerMin, fev1Ml, breathSounds } =
    values
  const all: readonly { readonly kind: Kind; readonly value: WrittenObservation['value'] | undefined }[] = [
    { kind: 'heartRate', value: heartRatePerMin },
    { kind: 'respiratoryRate', value: respiratoryRatePerMin },
    { kind: 'spo2', value: spo2Percent },
    { kind: 'breathSounds', value: breathSounds && soundsOf(breathSounds) },
    { kind: 'workOfBreathing', value: values.workOfBreathing },
    { kind: 'dyspnea', value: values.dyspnea0To10 },
    { kind: 'peakFlow', value: peakFlowLPerMin && Math.max(...peakFlowLPerMin) },
    { kind: 'fev1', value: fev1Ml === undefined ? undefined : fev1Ml / 1000 },
    { kind: 'consciousness', value: values.consciousness },
    { kind: 'ability', value: values.ability },
    { kind: 'systolic', value: values.systolicMmHg },
    { kind: 'temperature', value: values.temperatureCel },
  ]
  return all.flatMap(({ kind, value }) => (value === undefined ? [] : [{ kind, value }]))
}

/** "wheeze both ways, right lower": one coded value a sound and zone. */
function soundsOf(sounds: NonNullable<Measurements['breathSounds']>): Coded[] {
  return Object.entries(sounds).flatMap(([zone, heard]) =>
    (heard ?? []).map((sound) => {
      const text = `${sound}, ${zone}`
      return local(text.replace(/[^a-z]+/g, '-').toUpperCase(), text)
    }),
  )
}

function local(code: string, text: string): Coded {
  return { code, text, system: 'L' }
}
