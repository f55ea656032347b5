import { z } from 'zod'
import { once } from '../once.ts'
import { BadInput, OutsideValidity, requireWithin, type Source } from '../worked.ts'
import { ConditionSchema, partsOf } from './condition.ts'
import defaultJson from './data/asthma-severity.json' with { type: 'json' }
import { Heading, refuseUnknownSources, SourceEntries, sourcesOf } from './document.ts'
import { type Findings, judge } from './judge-condition.ts'
import type { Snapshot } from './measures.ts'

export const ASTHMA_GUIDES = [
  'BTS adult',
  'BTS child 2-5',
  'BTS child over 5',
  'GINA 5 and under',
  'GINA 6-11',
  'GINA adult',
  'NAEPP',
] as const
export type AsthmaGuide = (typeof ASTHMA_GUIDES)[number]

const Criterion = z.strictObject({ field: z.string().min(1), when: ConditionSchema })
const Guide = z.strictObject({
  source: z.string(),
  fromYears: z.number().min(0),
  belowYears: z.number().positive().optional(),
  /** Worst first; a class is reached by any one of its criteria. */
  classes: z.array(z.strictObject({ class: z.string().min(1), any: z.array(Criterion).min(1) })).min(1),
  /** When no class is reached. */
  otherwise: z.string().min(1),
  /** Better still than `otherwise`. */
  milder: z.strictObject({ class: z.string().min(1), field: z.string(), when: ConditionSchema }).optional(),
})
type Guide = z.infer<typeof Guide>

/** Thresholds by guideline. */
export const AsthmaSeverityDocument = z
  .strictObject({
    kind: z.literal('asthma-severity'),
    ...Heading,
    limits: z.record(
      z.string(),
      z.strictObject({
        unit: z.string(),
        byAge: z.array(z.strictObject({ fromYears: z.number(), value: z.number() })).min(1),
      }),
    ),
    guides: z.record(z.enum(ASTHMA_GUIDES), Guide),
    sources: SourceEntries,
  })
  .superRefine(({ guides, limits, sources }, context) => {
    const refuse = (message: string) => context.addIssue({ code: 'custom', message })
    refuseUnknownSources(
      sources,
      Object.values(guides).map(({ source }) => source),
      refuse,
    )
    for (const criterion of Object.values(guides).flatMap(({ classes }) =>
      classes.flatMap(({ any }) => any),
    )) {
      for (const part of partsOf(criterion.when)) {
        if ('limit' in part && part.limit !== undefined && limits[part.limit]?.unit !== part.unit) {
          refuse(`limit ${part.limit} is not there, or in another unit`)
        }
      }
    }
  })
export type AsthmaSeverityDocument = z.infer<typeof AsthmaSeverityDocument>
export const defaultAsthmaSeverity = once(() => AsthmaSeverityDocument.parse(defaultJson))

export type AsthmaSeverity = {
  /** The guideline stands beside the class: the same SpO2 of 91 % is severe for one and not for another. */
  readonly guide: AsthmaGuide
  readonly severity: string
  /** The criteria of that class that were met, as field and in words. */
  readonly because: readonly { readonly field: string; readonly words: string }[]
  /** What of the worse classes, and of this one, was not looked at. */
  readonly missing: readonly string[]
  /** False while something missing could make it worse. */
  readonly settled: boolean
  readonly cautions: readonly string[]
  readonly source: Source
}

/**
 * Severity of an attack of asthma under the named guideline: the worst class that any one finding reaches. A good
 * peak flow never outranks a severe sign, and what was not looked at is named, not taken for absent.
 * @throws OutsideValidity for an age that the guideline does not cover; BadInput when there is no finding at all
 */
export function asthmaSeverity(
  guide: AsthmaGuide,
  found: Snapshot,
  ageYears: number | null,
  document: AsthmaSeverityDocument = defaultAsthmaSeverity(),
): AsthmaSeverity {
  const rules = document.guides[guide]
  requireAge(rules, ageYears)
  requireFindings(found)
  const findings: Findings = {
    now: found,
    baseline: null,
    limit: (name) => limitAt(document, name, ageYears),
  }
  const judged = rules.classes.map(({ class: name, any }) => ({ name, ...judgeClass(any, findings) }))
  const at = judged.findIndex(({ because }) => because.length > 0)
  const reached = judged[at]
  const worse = at === -1 ? judged : judged.slice(0, at)
  const milder = reached ? null : milderClass(rules, findings)
  const missing = [...new Set([...worse.flatMap((each) => each.missing), ...(milder?.missing ?? [])])]
  const [source] = sourcesOf(document.sources, [rules.source])
  if (!source) throw new BadInput('source', rules.source, 'a source that the document writes down')
  return {
    guide,
    severity: reached?.name ?? milder?.name ?? rules.otherwise,
    because: reached?.because ?? [],
    missing,
    settled: worse.every((each) => each.missing.length === 0),
    cautions: cautionsFor(guide, reached?.name, found),
    source,
  }
}

function requireAge({ fromYears, belowYears = 120 }: Guide, ageYears: number | null): void {
  if (ageYears === null) return
  const inside = ageYears >= fromYears && ageYears < belowYears
  if (inside) return
  throw new OutsideValidity('ageYears', ageYears, {
    low: fromYears,
    high: belowYears,
    unit: 'a (upper end excluded)',
  })
}

/** Somebody who breathes and has a pulse; a blow that could not be done is not measured, never zero. Design rule. */
const POSSIBLE = {
  peakFlowPercent: { low: 1, high: 300, unit: '%' },
  spo2Percent: { low: 1, high: 100, unit: '%' },
  respiratoryRatePerMin: { low: 1, high: 150, unit: '/min' },
  heartRatePerMin: { low: 1, high: 400, unit: '/min' },
  paO2Kpa: { low: 1, high: 100, unit: 'kPa' },
  paCO2Kpa: { low: 0.5, high: 30, unit: 'kPa' },
} as const

function requireFindings({ values, signs }: Snapshot): void {
  if (Object.keys(values).length === 0 && Object.keys(signs).length === 0) {
    throw new BadInput('findings', 'none', 'at least one finding')
  }
  for (const [field, range] of Object.entries(POSSIBLE)) {
    const value = values[field as keyof typeof POSSIBLE]
    if (value !== undefined) requireWithin(field, value, range)
  }
}

function limitAt(
  document: AsthmaSeverityDocument,
  name: string,
  ageYears: number | null,
): number | undefined {
  if (ageYears === null) return undefined
  return document.limits[name]?.byAge.findLast(({ fromYears }) => fromYears <= ageYears)?.value
}

function judgeClass(criteria: readonly z.infer<typeof Criterion>[], findings: Findings) {
  const judged = criteria.map(({ field, when }) => ({ field, judged: judge(when, findings) }))
  return {
    because: judged.flatMap((each) =>
      each.judged.holds === true ? [{ field: each.field, words: each.judged.because.join('; ') }] : [],
    ),
    missing: judged.flatMap((each) => (each.judged.holds === null ? each.judged.missing : [])),
  }
}

function milderClass({ milder }: Guide, findings: Findings) {
  if (!milder) return null
  const judged = judge(milder.when, findings)
  return {
    name: judged.holds === true ? milder.class : null,
    missing: judged.holds === null ? judged.missing : [],
  }
}

function cautionsFor(guide: AsthmaGuide, severity: string | undefined, { values }: Snapshot): string[] {
  const signAlone =
    guide.startsWith('BTS child') && severity === 'life-threatening' && !((values.spo2Percent ?? 100) < 92)
  return [
    'A severe attack may not look like one. Signs of several classes: treat by the worst.',
    ...(signAlone
      ? [
          'The printed algorithm asks for SpO2 below 92 % beside the sign; such a sign is not waited upon here.',
        ]
      : []),
  ]
}
