import type { Measurements } from '../../../chart/facts/measurements.ts'
import { OURS, SYSTEM } from '../codes.ts'
import type { CodeableConcept, Observation, ObservationValue } from '../resources.ts'
import { ours, quantity } from './basics.ts'

type Component = NonNullable<Observation['component']>[number]

/** How one thing that is measured at the bedside is said in FHIR. */
export type ObservationKind = {
  readonly key: string
  readonly code: CodeableConcept
  readonly isVital: boolean
  /** What was measured, and what stands beside it; null when it was not measured. */
  readonly value: (
    values: Measurements,
  ) => (ObservationValue & Pick<Observation, 'component' | 'note'>) | null
}

const loinc = (text: string, ...codes: readonly string[]): CodeableConcept => ({
  coding: codes.map((code) => ({ system: SYSTEM.loinc, code })),
  text,
})
const own = (code: string, text: string): CodeableConcept => ({
  coding: [{ system: OURS.observation, code }],
  text,
})

/** A number in a UCUM unit, shown as `shown`. */
function figure(value: number | undefined, unit: string, shown = unit): ObservationValue | null {
  return value === undefined ? null : { valueQuantity: quantity(value, unit, shown) }
}
function word(value: string | undefined): ObservationValue | null {
  return value === undefined ? null : { valueCodeableConcept: { text: value } }
}
function answer(value: boolean | undefined): ObservationValue | null {
  return value === undefined ? null : { valueBoolean: value }
}

/**
 * Measurements by LOINC where a code was looked up, otherwise by a code of ours.
 * @see HL7 FHIR R4 vital-signs profiles (8867-4, 9279-1, 2708-6, 8480-6, 8310-5), US Core STU7 pulse oximetry (59408-5,
 * 3151-8), public FHIR value sets (33452-4, 20150-9, 3150-0)
 */
export const OBSERVATION_KINDS: readonly ObservationKind[] = [
  {
    key: 'heartRate',
    code: loinc('Heart rate', '8867-4'),
    isVital: true,
    value: (values) => {
      const rate = figure(values.heartRatePerMin, '/min', 'beats/minute')
      return rate && values.rhythm ? { ...rate, note: [{ text: `Rhythm: ${values.rhythm}` }] } : rate
    },
  },
  {
    key: 'respiratoryRate',
    code: loinc('Respiratory rate', '9279-1'),
    isVital: true,
    value: (values) => figure(values.respiratoryRatePerMin, '/min', 'breaths/minute'),
  },
  {
    key: 'spo2',
    code: loinc('Oxygen saturation by pulse oximetry', '2708-6', '59408-5'),
    isVital: true,
    value: (values) => {
      const saturation = figure(values.spo2Percent, '%')
      const component = oxygenParts(values)
      return saturation && component.length > 0 ? { ...saturation, component } : saturation
    },
  },
  {
    key: 'breathSounds',
    code: own('breath-sounds', 'Breath sounds'),
    isVital: false,
    value: ({ breathSounds }) => {
      const component = Object.entries(breathSounds ?? {}).map(([zone, heard]) => ({
        code: ours(OURS.observation, `breath sounds ${zone}`),
        valueCodeableConcept: {
          coding: (heard ?? []).map((sound) => ({ system: OURS.sound, code: sound.replaceAll(' ', '-') })),
          text: (heard ?? []).join(', '),
        },
      }))
      return component.length === 0 ? null : { component }
    },
  },
  {
    key: 'workOfBreathing',
    code: own('work-of-breathing', 'Work of breathing'),
    isVital: false,
    value: (values) => word(values.workOfBreathing),
  },
  {
    key: 'dyspnea',
    code: own('dyspnea', 'Breathlessness, 0 to 10'),
    isVital: false,
    value: (values) => figure(values.dyspnea0To10, '{score}', 'of 10'),
  },
  {
    key: 'peakFlow',
    code: loinc('Peak expiratory flow', '33452-4'),
    isVital: false,
    value: ({ peakFlowLPerMin: blows }) => {
      if (blows === undefined) return null
      const best = { valueQuantity: quantity(Math.max(...blows), 'L/min') }
      return blows.length === 1
        ? best
        : { ...best, note: [{ text: `The best of ${blows.join(', ')} L/min` }] }
    },
  },
  {
    key: 'fev1',
    code: loinc('Forced expiratory volume in 1 second', '20150-9'),
    isVital: false,
    value: ({ fev1Ml }) => figure(fev1Ml === undefined ? undefined : fev1Ml / 1000, 'L'),
  },
  {
    key: 'consciousness',
    code: own('consciousness', 'Consciousness'),
    isVital: false,
    value: (values) => word(values.consciousness),
  },
  {
    key: 'ability',
    code: own('ability', 'What the patient can do'),
    isVital: false,
    value: (values) => word(values.ability),
  },
  {
    key: 'systolic',
    code: loinc('Systolic blood pressure', '8480-6'),
    isVital: true,
    value: (values) => figure(values.systolicMmHg, 'mm[Hg]', 'mmHg'),
  },
  {
    key: 'temperature',
    code: loinc('Body temperature', '8310-5'),
    isVital: true,
    value: (values) => figure(values.temperatureCel, 'Cel', '°C'),
  },
  {
    key: 'chestPain',
    code: own('chest-pain', 'Chest pain'),
    isVital: false,
    value: (values) => answer(values.chestPain),
  },
  {
    key: 'distress',
    code: own('distress', 'Distress'),
    isVital: false,
    value: (values) => answer(values.distress),
  },
  {
    key: 'tremor',
    code: own('tremor', 'Tremor'),
    isVital: false,
    value: (values) => answer(values.tremor),
  },
]

/** The oxygen on which a saturation was read. */
function oxygenParts({ spo2On }: Measurements): Component[] {
  if (!spo2On) return []
  const { device, flowLPerMin, fio2Percent } = spo2On
  return [
    ...(flowLPerMin === undefined
      ? []
      : [{ code: loinc('Oxygen flow', '3151-8'), valueQuantity: quantity(flowLPerMin, 'L/min') }]),
    ...(fio2Percent === undefined
      ? []
      : [{ code: loinc('Oxygen concentration', '3150-0'), valueQuantity: quantity(fio2Percent, '%') }]),
    { code: own('oxygen-device', 'Oxygen device'), valueCodeableConcept: { text: device } },
  ]
}
