import { z } from 'zod'
import { defineKind, Instant } from '../fact.ts'
import { OxygenSupport } from './census.ts'
import { ConfirmedOdd, Measurements, NotMeasured } from './measurements.ts'

const Text = z.string().trim().min(1).max(400)
const Note = z.string().trim().max(4000)
const about = ['patientId', 'orderId', 'visitId'] as const

/** A therapist began a visit for a dose: `doseAt` is the due time of the dose, null for an as-needed one. */
export const VisitOpened = defineKind({
  kind: 'visit-opened',
  version: 1,
  about,
  body: z.strictObject({ doseAt: Instant.nullable(), besideLearner: z.string().optional() }),
})

/** Somebody, perhaps somebody else or on another device, went on with a visit that was open. */
export const VisitTakenUp = defineKind({
  kind: 'visit-taken-up',
  version: 1,
  about,
  body: z.strictObject({ fromPersonId: z.string(), fromDevice: z.string(), why: Note }),
})

/** At the door: what the chart said for and against, what was answered, what was put on and brought. */
export const DoorChecked = defineKind({
  kind: 'door-checked',
  version: 1,
  about,
  body: z.strictObject({
    orderActive: z.boolean(),
    minutesSinceLastDose: z.number().nullable(),
    findings: z.array(z.strictObject({ code: z.string(), what: z.string(), answer: Text })),
    precautions: z.array(z.string()),
    putOn: z.array(z.string()),
    equipment: z.array(z.string()),
  }),
})

export const IDENTIFIERS = ['name', 'date of birth', 'record number', 'wristband'] as const
const IdentifierSeen = z.strictObject({
  what: z.enum(IDENTIFIERS),
  how: z.enum(['stated', 'scanned', 'typed']),
  value: z.string().max(120),
})

/** Two identifiers agreed with the order's patient. How each was had stands beside it. */
export const PatientIdentified = defineKind({
  kind: 'patient-identified',
  version: 1,
  about,
  body: z.strictObject({ identifiers: z.array(IdentifierSeen).min(2), scannerDownWhy: Note.optional() }),
})

/** What differed: named field by field, as it was expected and as it was found. */
const Difference = z.strictObject({ what: Text, expected: z.string(), found: z.string() })

/** A hard stop at identification: the person, or what was in the hand, was not the one ordered. */
export const IdentityRefused = defineKind({
  kind: 'identity-refused',
  version: 2,
  about,
  body: z.strictObject({
    of: z.enum(['patient', 'medicine', 'preparation']),
    differences: z.array(Difference).min(1),
    how: z.enum(['stated', 'scanned', 'typed']),
  }),
  // Version 2 knows one more thing that may not agree: a prepared cup by its label.
  upcasts: { 1: (body: unknown) => body },
})

/** The medicine in the hand was the one ordered, in date, for this route. */
export const MedicineIdentified = defineKind({
  kind: 'medicine-identified',
  version: 1,
  about,
  body: z.strictObject({
    medicineId: z.string(),
    productId: z.string(),
    text: Text,
    gtin: z.string().max(14).nullable(),
    lot: z.string().max(40).nullable(),
    expiry: z.iso.date(),
    how: z.enum(['scanned', 'typed']),
  }),
})

/** One set of measurements before, part-way, at a stop, or after. */
export const Measured = defineKind({
  kind: 'measured',
  version: 1,
  about,
  body: z.strictObject({
    when: z.enum(['before', 'part-way', 'at stop', 'after']),
    values: Measurements,
    notMeasured: z.array(NotMeasured),
    confirmedOdd: z.array(ConfirmedOdd),
  }),
})

/** What went into the cup, in the order in which it went in. */
export const Prepared = defineKind({
  kind: 'prepared',
  version: 1,
  about,
  body: z.strictObject({
    portions: z
      .array(
        z.strictObject({
          medicineId: z.string(),
          productId: z.string().nullable(),
          text: Text,
          amount: z.number().positive().nullable(),
          unit: z.string().nullable(),
          volumeMl: z.number().positive(),
          part: z.enum(['medicine', 'diluent']),
        }),
      )
      .min(1),
    totalMl: z.number().positive().max(500),
    targetFillMl: z.number().positive().max(500),
    answered: z.array(z.strictObject({ code: z.string(), what: z.string(), answer: Text })),
    labelCode: z.string().max(80).optional(),
  }),
})

/** The label of the cup or syringe at the bedside was the one printed for this patient, order and preparation. */
export const PreparationChecked = defineKind({
  kind: 'preparation-checked',
  version: 1,
  about,
  body: z.strictObject({ labelCode: z.string().min(1).max(80), how: z.enum(['scanned', 'typed']) }),
})

export const INTERFACES = ['mouthpiece', 'mask', 'tracheostomy collar', 'in-line', 'mask held off'] as const
export const GASES = ['air', 'oxygen', 'heliox'] as const

/** Low, likely and high of a forecast figure, as shown when the choice was made. */
const Figure = z.strictObject({ low: z.number(), likely: z.number(), high: z.number(), unit: z.string() })

/** Where the driving gas comes from; a cylinder with what its gauge shows. */
export const GasSupply = z.discriminatedUnion('from', [
  z.strictObject({ from: z.literal('wall') }),
  z.strictObject({ from: z.literal('compressor') }),
  z.strictObject({
    from: z.literal('cylinder'),
    /** A US size by its letter with psi, or a metric one by its water capacity with bar. */
    cylinder: z.union([
      z.strictObject({ size: z.string().max(2), psi: z.number().min(0).max(3000) }),
      z.strictObject({ waterL: z.number().min(0.5).max(60), bar: z.number().min(0).max(300) }),
    ]),
  }),
])
export type GasSupply = z.infer<typeof GasSupply>

/** A set-up tried on the bench and sent to this visit. It proposes; only `set-up-chosen` says what was used. */
export const SetUpSent = defineKind({
  kind: 'set-up-sent',
  version: 1,
  about,
  body: z.strictObject({
    cupId: z.string(),
    fillMl: z.number().positive().max(500),
    gas: z.string().max(40),
    flowLPerMin: z.number().positive().max(20),
    interface: z.enum(INTERFACES),
    distanceCm: z.number().min(0).nullable(),
    mask: z.string().max(40).nullable(),
    reservoirMl: z.number().min(0).max(500),
    breathesBy: z.enum(['mouth', 'nose']),
    /** The search part of the bench's link: opens the very bench again. */
    bench: z.string().max(2000),
    /** Which of the set-ups on that bench: A, B, C, D. */
    letter: z.string().max(1),
  }),
})

/** The set-up that was chosen, with the forecast as it stood, so that the charted run can be laid over it. */
export const SetUpChosen = defineKind({
  kind: 'set-up-chosen',
  version: 1,
  about,
  body: z.strictObject({
    cupId: z.string(),
    interface: z.enum(INTERFACES),
    gas: z.enum(GASES),
    flowLPerMin: z.number().positive().max(20),
    reservoirMl: z.number().min(0).max(500),
    position: z.enum(['sitting up', 'semi-upright', 'lying', 'on a lap']),
    cannulaStaysOn: z.boolean(),
    /** Absent in records from before it was asked for: the wall. */
    supply: GasSupply.optional(),
    /** The fact by which this choice was sent from the bench, when it was taken from there. */
    sentBy: z.uuid().optional(),
    forecast: z
      .strictObject({
        runMinutes: Figure,
        leavesCupMg: Figure.nullable(),
        reachesLungMg: Figure.nullable(),
        inspiredOxygenPercent: Figure.nullable(),
        runsHere: z.int().min(0),
      })
      .nullable(),
    againstAdvice: z.array(z.strictObject({ code: z.string(), what: z.string(), answer: Text })),
  }),
})

export const TreatmentStarted = defineKind({
  kind: 'treatment-started',
  version: 1,
  about,
  body: z.strictObject({ alongside: z.array(z.string()) }),
})

export const TreatmentPaused = defineKind({
  kind: 'treatment-paused',
  version: 1,
  about,
  body: z.strictObject({ reason: Text }),
})

export const TreatmentGoesOn = defineKind({
  kind: 'treatment-goes-on',
  version: 1,
  about,
  body: z.strictObject({}),
})

/** A stop rule spoke, or the person saw something wrong; and what was decided, with whom. */
export const StopAnswered = defineKind({
  kind: 'stop-answered',
  version: 1,
  about,
  body: z.strictObject({
    rules: z.array(z.strictObject({ code: z.string(), what: z.string(), action: z.string() })),
    seen: Note,
    decision: z.enum(['stop', 'pause', 'go on']),
    reason: Note,
    told: Note,
  }),
})

/** The run ended: at sputter, or stopped early with what was left and so what was given. */
export const TreatmentEnded = defineKind({
  kind: 'treatment-ended',
  version: 1,
  about,
  body: z.strictObject({
    how: z.enum(['finished', 'stopped']),
    leftMl: z.number().min(0).max(500).nullable(),
    given: z.array(
      z.strictObject({
        medicineId: z.string(),
        text: z.string(),
        nominal: z.number(),
        /** Nominal dose less the share left in the cup; null when what was left was not known. */
        outOfCup: z.number().min(0).nullable(),
        unit: z.string(),
      }),
    ),
    told: Note,
    next: Note,
  }),
})

export const CUP_CARE = [
  'rinsed, dried and bagged',
  'discarded',
  'changed for a new one',
  'left in line',
] as const

/** After: what came up, oxygen put back as it was and checked on it, the cup cared for. */
export const AfterDone = defineKind({
  kind: 'after-done',
  version: 1,
  about,
  body: z.strictObject({
    cough: z.enum(['none', 'dry', 'moist', 'productive']),
    sputum: z
      .strictObject({
        amount: z.enum(['scant', 'small', 'moderate', 'large']),
        color: z.enum(['clear', 'white', 'yellow', 'green', 'brown', 'blood-streaked', 'bloody']),
        thickness: z.enum(['thin', 'thick', 'tenacious', 'frothy']),
      })
      .nullable(),
    oxygenBack: OxygenSupport,
    oxygenChangedWhy: Note,
    spo2OnItPercent: z.int().min(0).max(100),
    bedAndBell: z.boolean(),
    cupCare: z.enum(CUP_CARE),
    cupDueAt: Instant.nullable(),
    tookOff: z.array(z.string()),
  }),
})

/**
 * Reasons for a dose not given. The first six are the published causes of missed treatments (Stoller, Orens,
 * Kester, Respir Care 2003;48:110); the others are common practice, no source.
 */
export const NOT_GIVEN_REASONS = [
  'not in room',
  'declined by patient',
  'patient not available',
  'discharged',
  'advised not to',
  'therapist called away',
  'held on findings',
  'wrong or missing medicine',
  'equipment not at hand',
  'asleep, let sleep by order',
  'given by somebody else',
  'other',
] as const

/** The dose was not given: why, what happens next, who was told. A complete end of a visit. */
export const DoseNotGiven = defineKind({
  kind: 'dose-not-given',
  version: 1,
  about: ['patientId', 'orderId'],
  body: z.strictObject({
    doseAt: Instant.nullable(),
    reason: z.enum(NOT_GIVEN_REASONS),
    note: Note,
    next: z.enum([
      'try again later',
      'next dose as due',
      'prescriber asked',
      'order to be settled',
      'none needed',
    ]),
    told: Note,
  }),
})

const Signature = {
  printedName: Text,
  /** Names what was signed: SHA-256 over the text and the ids it covers. */
  contentHash: z.string().regex(/^[0-9a-f]{64}$/),
  covers: z.array(z.uuid()),
}

/** The note, signed. `composed` is what the program wrote, `text` what the person signed. */
export const NoteSigned = defineKind({
  kind: 'note-signed',
  version: 1,
  about,
  body: z.strictObject({
    composed: z.string(),
    text: z.string().trim().min(1).max(20_000),
    meaning: z.enum(['gave', 'did not give', 'observed a learner give']),
    ...Signature,
  }),
})

/** Second signature over a learner's note. */
export const NoteCosigned = defineKind({
  kind: 'note-cosigned',
  version: 1,
  about,
  body: z.strictObject({ signs: z.uuid(), note: Note, ...Signature }),
})

/** A signed note put right: the new text, why, by whom. The old one stays readable. */
export const NoteCorrected = defineKind({
  kind: 'note-corrected',
  version: 1,
  about,
  body: z.strictObject({ text: z.string().trim().min(1).max(20_000), reason: Text, ...Signature }),
})

/** A measurement or another bedside fact of a signed visit was wrong; `corrects` in the envelope names it. */
export const EntryStruck = defineKind({
  kind: 'entry-struck',
  version: 1,
  about,
  body: z.strictObject({ reason: Text }),
})
