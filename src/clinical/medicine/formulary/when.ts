import { z } from 'zod'
import { Id } from './backing.ts'

/** The kinds of nebulizer that a drug or a rule may speak of. */
export const NEBULIZERS = [
  'jet',
  'breath-enhanced',
  'breath-actuated',
  'mesh',
  'ultrasonic',
  'large-volume',
] as const
export const NebulizerKind = z.enum(NEBULIZERS)
export type NebulizerKind = z.infer<typeof NebulizerKind>

export const INTERFACES = ['mouthpiece', 'mask', 'tracheostomy collar', 'in-line', 'mask held off'] as const
export const InterfaceKind = z.enum(INTERFACES)
export type InterfaceKind = z.infer<typeof InterfaceKind>

/** What may be measured at the bedside and asked for by a rule. */
const MEASURED = ['systolicMmHg', 'fev1PercentPredicted', 'heartRatePerMin', 'spo2Percent'] as const
const Limits = z.strictObject({ below: z.number().exactOptional(), above: z.number().exactOptional() })

/** Whom a statement is about, by age and weight; lower ends included, upper ends not. */
export const Who = z.strictObject({
  fromDays: z.int().min(0).exactOptional(),
  belowDays: z.int().min(1).exactOptional(),
  fromKg: z.number().positive().exactOptional(),
  belowKg: z.number().positive().exactOptional(),
})
export type Who = z.infer<typeof Who>

/** When a statement applies: every line that is there must hold. */
export const When = z.strictObject({
  /** The patient has any of these. */
  conditions: z.array(Id).min(1).exactOptional(),
  /** The patient has none of these. */
  withoutConditions: z.array(Id).min(1).exactOptional(),
  /** A medicine of one of these groups or classes is taken. */
  taking: z.array(Id).min(1).exactOptional(),
  /** None of these is taken. */
  notTaking: z.array(Id).min(1).exactOptional(),
  indications: z.array(Id).min(1).exactOptional(),
  measured: z.partialRecord(z.enum(MEASURED), Limits).exactOptional(),
  nebulizers: z.array(NebulizerKind).min(1).exactOptional(),
  interfaces: z.array(InterfaceKind).min(1).exactOptional(),
  /** The cup in the hand is, or is not, the device that belongs to the drug. */
  ownDevice: z.boolean().exactOptional(),
  /** The exhaled side has, or has not, a filter. */
  filter: z.boolean().exactOptional(),
  mixed: z.boolean().exactOptional(),
  several: z.boolean().exactOptional(),
  repeated: z.boolean().exactOptional(),
  premixed: z.boolean().exactOptional(),
  concentrateUndiluted: z.boolean().exactOptional(),
  preservatives: z.array(Id).min(1).exactOptional(),
  /** Doses of the same medicine in the 24 hours before. */
  dosesBefore: z.strictObject({ from: z.int().min(1) }).exactOptional(),
})
export type When = z.infer<typeof When>
