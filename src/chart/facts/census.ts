import { z } from 'zod'
import { defineKind, Instant } from '../fact.ts'

const Text = z.string().trim().min(1).max(400)

export const Place = z.strictObject({ unit: Text, room: z.string().max(40), bed: z.string().max(40) })
export type Place = z.infer<typeof Place>

export const Allergy = z.strictObject({
  code: z.string().max(80),
  text: Text,
  severity: z.string().max(80).optional(),
  reaction: z.string().max(400).optional(),
})
export type Allergy = z.infer<typeof Allergy>

/** A diagnosis or a standing fact that a bedside rule may ask for; `code` is matched, `text` is shown. */
export const Condition = z.strictObject({ code: z.string().min(1).max(80), text: Text })
export type Condition = z.infer<typeof Condition>

export const OXYGEN_DEVICES = [
  'room air',
  'nasal cannula',
  'simple mask',
  'air-entrainment mask',
  'non-rebreathing mask',
  'high-flow cannula',
  'noninvasive ventilation',
  'ventilator',
  'tracheostomy collar',
] as const
/** Oxygen as the patient has it between treatments: what must be put back afterwards. */
export const OxygenSupport = z.strictObject({
  device: z.enum(OXYGEN_DEVICES),
  flowLPerMin: z.number().min(0).max(80).optional(),
  fio2Percent: z.number().min(21).max(100).optional(),
})
export type OxygenSupport = z.infer<typeof OxygenSupport>

/** The prescribed saturation target. Scale 2 of the early-warning score is a clinician's recorded decision. */
export const SaturationTarget = z.strictObject({
  lowPercent: z.int().min(50).max(100),
  highPercent: z.int().min(50).max(100),
  newsScale: z.union([z.literal(1), z.literal(2)]),
})
export type SaturationTarget = z.infer<typeof SaturationTarget>

/**
 * What a census message says of a patient. A field that is absent was not spoken of; null was explicitly taken
 * away. `identifiers` are every number the hospital knows the patient by.
 */
export const PatientPatch = z.strictObject({
  mrn: z.string().min(1).max(40).optional(),
  identifiers: z.array(z.strictObject({ type: z.string().max(20), value: z.string().max(80) })).optional(),
  family: Text.optional(),
  given: Text.optional(),
  middle: Text.nullable().optional(),
  dob: z.iso.date().optional(),
  sex: z.enum(['female', 'male', 'other', 'unknown']).optional(),
  weightKg: z.number().positive().max(500).nullable().optional(),
  heightCm: z.number().positive().max(260).nullable().optional(),
  allergies: z.array(Allergy).nullable().optional(),
  conditions: z.array(Condition).nullable().optional(),
  isolation: z.array(z.string().max(20)).nullable().optional(),
  oxygen: OxygenSupport.nullable().optional(),
  target: SaturationTarget.nullable().optional(),
  airway: z.enum(['natural', 'tracheostomy', 'endotracheal tube']).nullable().optional(),
  place: Place.nullable().optional(),
  visitNumber: z.string().max(80).nullable().optional(),
  attending: Text.nullable().optional(),
  admittedAt: Instant.nullable().optional(),
  dischargedAt: Instant.nullable().optional(),
})
export type PatientPatch = z.infer<typeof PatientPatch>

/** The census spoke of a patient: admitted, moved, sent home, or something about them changed. */
export const CensusUpdated = defineKind({
  kind: 'census-updated',
  version: 1,
  about: ['patientId'],
  body: z.strictObject({
    event: z.enum(['admitted', 'moved', 'discharged', 'updated']),
    patch: PatientPatch,
  }),
})

/** The patient is off the unit (imaging, theater, dialysis); visits wait. */
export const PatientAway = defineKind({
  kind: 'patient-away',
  version: 1,
  about: ['patientId'],
  body: z.strictObject({ reason: Text, expectedBackAt: Instant.optional() }),
})

/** The patient is back in their place. */
export const PatientBack = defineKind({
  kind: 'patient-back',
  version: 1,
  about: ['patientId'],
  body: z.strictObject({}),
})

/** What another system charted of a patient: administrations and observations, kept as that system said them. */
export const OutsideRecordReceived = defineKind({
  kind: 'outside-record-received',
  version: 1,
  about: ['patientId'],
  body: z.strictObject({
    administrations: z.array(
      z.strictObject({
        status: z.string().nullable(),
        startedAt: Instant.nullable(),
        endedAt: Instant.nullable(),
        medicine: z.string(),
        code: z.string(),
        amount: z.number().nullable(),
        unit: z.string().nullable(),
        lot: z.string().nullable(),
        expiry: z.iso.date().nullable(),
        reason: z.string().nullable(),
        by: z.string().nullable(),
      }),
    ),
    observations: z.array(
      z.strictObject({
        code: z.string(),
        text: z.string(),
        when: z.string().nullable(),
        value: z.number().nullable(),
        said: z.array(z.string()),
        unit: z.string().nullable(),
        flag: z.string().nullable(),
        status: z.string().nullable(),
        at: Instant.nullable(),
      }),
    ),
  }),
})
