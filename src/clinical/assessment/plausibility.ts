import { z } from 'zod'
import { once } from '../once.ts'
import { BadInput, requireWithin, type Source } from '../worked.ts'
import defaultJson from './data/plausibility.json' with { type: 'json' }
import { Heading, refuseUnknownSources, SourceEntries, sourcesOf } from './document.ts'
import { unitShown } from './measures.ts'

/** What a person types in, with its unit. */
export const ENTRY_UNITS = {
  heartRatePerMin: '/min',
  respiratoryRatePerMin: '/min',
  spo2Percent: '%',
  systolicMmHg: 'mm[Hg]',
  temperatureCel: 'Cel',
  peakFlowLPerMin: 'L/min',
  fev1Ml: 'mL',
  dyspnea0To10: '{score}',
  heightCm: 'cm',
  weightKg: 'kg',
  flowLPerMin: 'L/min',
  fio2Percent: '%',
} as const
export type EntryField = keyof typeof ENTRY_UNITS
const FIELDS = Object.keys(ENTRY_UNITS) as [EntryField, ...EntryField[]]

const Entry = z.strictObject({
  unit: z.string(),
  says: z.string().min(1),
  decimals: z.int().min(0).max(3),
  byAge: z.array(z.strictObject({ fromYears: z.number().min(0), low: z.number(), high: z.number() })).min(1),
  sources: z.array(z.string()).min(1),
})

/** Limits of what is entered without a question, by age; a department may set its own. */
export const PlausibilityDocument = z
  .strictObject({
    kind: z.literal('plausibility'),
    ...Heading,
    sources: SourceEntries,
    fields: z.record(z.enum(FIELDS), Entry),
  })
  .superRefine(({ fields, sources }, context) => {
    const refuse = (message: string) => context.addIssue({ code: 'custom', message })
    for (const name of FIELDS) {
      const { unit, byAge, sources: used } = fields[name]
      if (unit !== ENTRY_UNITS[name]) refuse(`${name} is in ${ENTRY_UNITS[name]}, not ${unit}`)
      if (byAge.some(({ low, high }) => low >= high)) refuse(`${name}: low end not below high end`)
      const ages = byAge.map(({ fromYears }) => fromYears)
      if (ages[0] !== 0 || ages.some((age, at) => age <= (ages[at - 1] ?? -1))) {
        refuse(`${name}: ages start at 0 and rise`)
      }
      refuseUnknownSources(sources, used, refuse)
    }
  })
export type PlausibilityDocument = z.infer<typeof PlausibilityDocument>
export const defaultPlausibility = once(() => PlausibilityDocument.parse(defaultJson))

/** Taken as it is, or asked about. Nothing is changed: who entered it looks again, and may stand by it. */
export type Plausibility =
  | { readonly ok: true; readonly low: number; readonly high: number; readonly sources: readonly Source[] }
  | {
      readonly ok: false
      readonly low: number
      readonly high: number
      readonly question: string
      readonly why: string
      readonly sources: readonly Source[]
    }

/**
 * Is a value entered worth a question? Without an age, the widest limits of any age serve.
 * @throws BadInput for a field that is not known or a value that is not a finite number; OutsideValidity for an age
 * outside 0 to 120 years
 */
export function plausible(
  field: EntryField,
  value: number,
  ageYears: number | null,
  document: PlausibilityDocument = defaultPlausibility(),
): Plausibility {
  if (!FIELDS.includes(field)) throw new BadInput('field', field, FIELDS.join(', '))
  if (!Number.isFinite(value)) throw new BadInput(field, value, 'a finite number')
  const { unit, says, decimals, byAge, sources } = document.fields[field]
  const { low, high, whose } = limitsAt(byAge, ageYears)
  const shown = unitShown(unit)
  const ask = (question: string, why: string): Plausibility => ({
    ok: false,
    low,
    high,
    question,
    why,
    sources: sourcesOf(document.sources, sources),
  })
  const isAre = `${says} of ${value} ${shown}`.trim()
  if (value < low || value > high) {
    const side = value < low ? `below ${low}` : `above ${high}`
    return ask(
      `${capital(isAre)}: is that so?`,
      `${`It is ${side} ${shown}`.trim()}, the usual end of entry ${whose}.`,
    )
  }
  if (Math.abs(value * 10 ** decimals - Math.round(value * 10 ** decimals)) > 1e-6) {
    const finest =
      decimals === 0 ? 'a whole number' : `${decimals} decimal${decimals === 1 ? '' : 's'} at most`
    return ask(`${capital(isAre)}: is that so?`, `It is read as ${finest}.`)
  }
  return { ok: true, low, high, sources: sourcesOf(document.sources, sources) }
}

type Limits = z.infer<typeof Entry>['byAge']

function limitsAt(byAge: Limits, ageYears: number | null) {
  if (ageYears === null) {
    const low = Math.min(...byAge.map((each) => each.low))
    const high = Math.max(...byAge.map((each) => each.high))
    return { low, high, whose: 'at any age' }
  }
  requireWithin('ageYears', ageYears, { low: 0, high: 120, unit: 'a' })
  const row = byAge.findLast(({ fromYears }) => fromYears <= ageYears)
  return { low: row?.low ?? 0, high: row?.high ?? 0, whose: 'for the age' }
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}
