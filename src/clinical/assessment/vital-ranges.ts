import { z } from 'zod'
import { once } from '../once.ts'
import { requireWithin, type Source } from '../worked.ts'
import defaultJson from './data/vital-ranges.json' with { type: 'json' }
import { Heading, refuseUnknownSources, SourceEntries, sourcesOf } from './document.ts'

const AgeRange = z
  .strictObject({ label: z.string(), fromYears: z.number().min(0), low: z.number(), high: z.number() })
  .refine(({ low, high }) => low < high, 'low end below high end')
const AgeRanges = z.array(AgeRange).min(1)

export const VITALS = {
  heartRateAwake: '/min',
  heartRateAsleep: '/min',
  respiratoryRate: '/min',
  systolic: 'mm[Hg]',
  spo2: '%',
  temperature: 'Cel',
} as const
export type Vital = keyof typeof VITALS
const VITAL_NAMES = Object.keys(VITALS) as readonly Vital[]

const RangeSet = z.strictObject({
  name: z.string().min(1),
  source: z.string(),
  /** The set says nothing from this age on. */
  belowYears: z.number().positive(),
  heartRateAwake: AgeRanges.optional(),
  heartRateAsleep: AgeRanges.optional(),
  respiratoryRate: AgeRanges.optional(),
  systolic: AgeRanges.optional(),
  spo2: AgeRanges.optional(),
  temperature: AgeRanges.optional(),
})
const Median = z.strictObject({
  age: z.string(),
  heartRate: z.number().optional(),
  respiratoryRate: z.number().optional(),
})

/** Ranges by age, each set by its name; a hospital may put its own chart in their place. */
export const VitalRangeDocument = z
  .strictObject({
    kind: z.literal('vital-ranges'),
    ...Heading,
    gapRule: z.string().min(1),
    sets: z.array(RangeSet).min(1),
    hypotensionBelow: z.strictObject({
      source: z.string(),
      belowYears: z.number(),
      unit: z.literal('mm[Hg]'),
      byAge: z.array(z.strictObject({ fromYears: z.number(), base: z.number(), perYear: z.number() })).min(1),
    }),
    medians: z.strictObject({ source: z.string(), rows: z.array(Median) }),
    sources: SourceEntries,
  })
  .superRefine(({ sets, hypotensionBelow, medians, sources }, context) => {
    const used = [...sets, hypotensionBelow, medians].map(({ source }) => source)
    refuseUnknownSources(sources, used, (message) => context.addIssue({ code: 'custom', message }))
  })
export type VitalRangeDocument = z.infer<typeof VitalRangeDocument>
export const defaultVitalRanges = once(() => VitalRangeDocument.parse(defaultJson))

export type VitalRange = {
  readonly set: string
  readonly vital: Vital
  readonly unit: string
  /** The age label as printed. A label holds until the next one begins. */
  readonly label: string
  readonly low: number
  readonly high: number
  readonly source: Source
}

/**
 * Every published range for an age, set by set: they disagree, so none is picked in silence.
 * @throws OutsideValidity for an age outside 0 to 120 years
 */
export function vitalRanges(
  ageYears: number,
  document: VitalRangeDocument = defaultVitalRanges(),
): readonly VitalRange[] {
  requireAge(ageYears)
  return document.sets
    .filter(({ belowYears }) => ageYears < belowYears)
    .flatMap((set) => VITAL_NAMES.flatMap((vital) => rangeIn(set, vital, ageYears, document)))
}

type RangeSet = z.infer<typeof RangeSet>

function rangeIn(set: RangeSet, vital: Vital, ageYears: number, document: VitalRangeDocument): VitalRange[] {
  const found = set[vital]?.findLast(({ fromYears }) => fromYears <= ageYears)
  const [source] = sourcesOf(document.sources, [set.source])
  if (!found || !source) return []
  const { label, low, high } = found
  return [{ set: set.name, vital, unit: VITALS[vital], label, low, high, source }]
}

/**
 * Systolic pressure below which PALS 2015 speaks of hypotension [mmHg]; from 1 to 9 years 70 + 2 × completed years.
 * Null from 16 years on, where it gives none.
 * @throws OutsideValidity for an age outside 0 to 120 years
 */
export function hypotensionBelow(
  ageYears: number,
  document: VitalRangeDocument = defaultVitalRanges(),
): { readonly mmHg: number; readonly sum: string; readonly source: Source | undefined } | null {
  requireAge(ageYears)
  const { belowYears, byAge, source } = document.hypotensionBelow
  const row = byAge.findLast(({ fromYears }) => fromYears <= ageYears)
  if (!row || ageYears >= belowYears) return null
  const years = Math.floor(ageYears)
  const mmHg = row.base + row.perYear * years
  const sum = `${row.base} + ${row.perYear} × ${years} completed years = ${mmHg} mmHg`
  return { mmHg, sum, source: sourcesOf(document.sources, [source])[0] }
}

function requireAge(ageYears: number): void {
  requireWithin('ageYears', ageYears, { low: 0, high: 120, unit: 'a' })
}
