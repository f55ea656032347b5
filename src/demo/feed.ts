import { escapeText } from '../exchange/hl7/message.ts'
import { writeTime } from '../exchange/hl7/time.ts'
import type { InventedOrder, InventedPatient } from './hospital/invented-patient.ts'

/**
 * The invented hospital's census and order systems: they speak HL7 v2.5.1 text, as real ones would, and everything of
 * theirs comes in by the same door.
 */
export class Feed {
  #count = 0
  readonly #codes: ReadonlyMap<string, { readonly code: string; readonly text: string }>

  /** @param codes order codes by formulary id, as the hospital's document has them */
  constructor(
    codes: readonly { readonly code: string; readonly text: string; readonly medicineId: string }[],
  ) {
    this.#codes = new Map(codes.map((each) => [each.medicineId, each]))
  }

  /** A census message (ADT) about a patient, with everything that the ward needs to know. */
  census(
    event: 'A01' | 'A02' | 'A03' | 'A08',
    patient: InventedPatient,
    sentAt: string,
    admittedAt: string,
    dob: string,
  ): string {
    const stay = event === 'A03' ? writeTime(sentAt) : ''
    return message([
      this.#header(`ADT^${event}^ADT_${event === 'A08' ? 'A01' : event}`, 'CENSUS', sentAt),
      ['EVN', event, writeTime(sentAt)],
      pid(patient, dob),
      field(['PV1', '1', 'I', `${patient.unit}^${patient.room}^${patient.bed}^MARROWBY`], {
        7: '8801^Harrowgate^Ines^^^Dr',
        19: visitNumber(patient),
        44: writeTime(admittedAt),
        45: stay,
      }),
      ...(event === 'A01' || event === 'A08' ? observations(patient) : []),
      ...(patient.allergies ?? NONE_KNOWN).map((allergy, index) => [
        'AL1',
        String(index + 1),
        'DA',
        coded(allergy.code, allergy.text),
        allergy.severity ?? '',
        escapeText(allergy.reaction ?? ''),
      ]),
      ...patient.conditions.map((condition, index) => [
        'DG1',
        String(index + 1),
        '',
        coded(condition.code, condition.text),
        '',
        '',
        'A',
      ]),
    ])
  }

  /** An order message (RDE^O11): new, or a change, hold or stop of one that was sent before. */
  order(
    control: 'NW' | 'XO' | 'HD' | 'DC',
    patient: InventedPatient,
    order: InventedOrder,
    placer: string,
    sentAt: string,
    startAt: string,
    dob: string,
  ): string {
    const [first] = order.medicines
    const isMixture = order.medicines.length > 1
    const name = isMixture ? coded('MIX0007', 'albuterol with ipratropium') : this.#coded(first?.[0] ?? '')
    const amount = isMixture
      ? [String(order.fillMl ?? 3), '', 'mL^^UCUM']
      : [String(first?.[1] ?? ''), '', `${first?.[2] ?? ''}^^UCUM`]
    const priority = order.prn ? 'PRN' : 'R'
    return message([
      this.#header('RDE^O11^RDE_O11', 'ORDERS', sentAt),
      pid(patient, dob),
      field(['PV1', '1', 'I', `${patient.unit}^${patient.room}^${patient.bed}^MARROWBY`], {
        19: visitNumber(patient),
      }),
      field(['ORC', control, `${placer}^ORDERS`], {
        5: 'IP',
        9: writeTime(sentAt),
        12: '8801^Harrowgate^Ines^^^Dr',
        ...(control === 'NW' ? {} : { 15: writeTime(startAt), 16: 'REVIEW^Reviewed on the round^99MGF' }),
      }),
      field(['RXE', '', name, ...amount], { 27: coded('IND', order.indication) }),
      field(['TQ1', '1', '1', `${order.code}&${order.code}&HL70335^^^^^^${order.prn ? 'N' : 'Y'}`], {
        7: writeTime(startAt),
        9: priority,
        10: escapeText(order.prn?.reason ?? ''),
      }),
      ['RXR', 'IH^inhalation^HL70162', '', 'NEB^nebulizer^HL70164', 'NB^nebulized^HL70165'],
      ...(isMixture
        ? order.medicines.map(([id, dose, unit]) => [
            'RXC',
            'A',
            this.#coded(id),
            String(dose),
            `${unit}^^UCUM`,
          ])
        : []),
    ])
  }

  /** Two messages that cannot be used: the demo shows what becomes of them. */
  faulty(patient: InventedPatient, sentAt: string, dob: string): string[] {
    const start = [this.#header('RDE^O11^RDE_O11', 'ORDERS', sentAt), pid(patient, dob)]
    const rest = (placer: string, rxe: string[], code: string) => [
      ['ORC', 'NW', `${placer}^ORDERS`],
      ['RXE', '', this.#coded('albuterol'), ...rxe],
      ['TQ1', '1', '', `${code}&${code}&99ODD`],
      ['RXR', 'IH^inhalation^HL70162'],
    ]
    const unknownFrequency = message([...start, ...rest('LK-9001', ['2.5', '', 'mg^^UCUM'], 'Q4X')])
    const second = [this.#header('RDE^O11^RDE_O11', 'ORDERS', sentAt), pid(patient, dob)]
    return [unknownFrequency, message([...second, ...rest('LK-9002', [], 'QID')])]
  }

  #coded(medicineId: string): string {
    const found = this.#codes.get(medicineId)
    if (!found) throw new Error(`the hospital has no order code for ${medicineId}`)
    return coded(found.code, found.text)
  }

  #header(type: string, sender: string, sentAt: string): string[] {
    this.#count += 1
    return [
      'MSH',
      '^~\\&',
      sender,
      'MARROWBY',
      'THERAPY',
      'MARROWBY',
      writeTime(sentAt),
      '',
      type,
      `LK${String(this.#count).padStart(6, '0')}`,
      'P',
      '2.5.1',
    ]
  }
}

/** Said outright, because silence would mean that nobody has asked. */
const NONE_KNOWN = [{ code: 'NKA', text: 'No known allergies', severity: '', reaction: '' }]

function coded(code: string, text: string): string {
  return `${escapeText(code)}^${escapeText(text)}^99MGF`
}

function visitNumber({ mrn }: InventedPatient): string {
  return `V${mrn.slice(2)}`
}

function pid(patient: InventedPatient, dob: string): string[] {
  const ids = `${patient.mrn}^^^MARROWBY^MR`
  return field(
    [
      'PID',
      '1',
      '',
      ids,
      '',
      `${escapeText(patient.family)}^${escapeText(patient.given)}`,
      '',
      dob.replaceAll('-', ''),
      patient.sex,
    ],
    { 18: visitNumber(patient) },
  )
}

function observations(patient: InventedPatient): string[][] {
  const rows: string[][] = [
    ['NM', '29463-7^Body weight^LN', '', String(patient.weightKg), 'kg^^UCUM'],
    ['NM', '8302-2^Body height^LN', '', String(patient.heightCm), 'cm^^UCUM'],
  ]
  if (patient.isolation)
    rows.push([
      'CWE',
      'ISO^Isolation category^99MGF',
      '',
      patient.isolation.map((code) => `${code}^${code}^99MGF`).join('~'),
      '',
    ])
  const oxygen = patient.oxygen ?? { device: 'room air' as const }
  rows.push(['CWE', 'OXYGENDEVICE^Oxygen device^99MGF', '', `${oxygen.device}^${oxygen.device}^99MGF`, ''])
  if (oxygen.flowLPerMin !== undefined)
    rows.push(['NM', '3151-8^Oxygen flow^LN', '', String(oxygen.flowLPerMin), 'L/min^^UCUM'])
  if (oxygen.fio2Percent !== undefined)
    rows.push(['NM', '3150-0^Oxygen concentration^LN', '', String(oxygen.fio2Percent), '%^^UCUM'])
  if (patient.airway)
    rows.push(['CWE', 'AIRWAY^Airway^99MGF', '', `${patient.airway}^${patient.airway}^99MGF`, ''])
  if (patient.target)
    rows.push([
      'SN',
      'SPO2TARGET^Target saturation^99MGF',
      '',
      `^${patient.target.lowPercent}^-^${patient.target.highPercent}`,
      '%^^UCUM',
      ...(patient.target.newsScale === 2 ? ['', '', '', '', 'F', '', '', '', '', '', 'SCALE2'] : []),
    ])
  return rows.map((row, index) => ['OBX', String(index + 1), ...row])
}

/** A segment with some fields placed by their number. */
function field(parts: string[], placed: Readonly<Record<number, string>>): string[] {
  const fields = [...parts]
  for (const [at, value] of Object.entries(placed)) {
    while (fields.length <= Number(at)) fields.push('')
    fields[Number(at)] = value
  }
  return fields
}

function message(segments: readonly (readonly string[])[]): string {
  return segments.map((fields) => `${fields.join('|')}\r`).join('')
}
