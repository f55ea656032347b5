import { snapshotOf } from '../assessment/bedside-values.ts'
import { type Findings, judge } from '../assessment/judge-condition.ts'
import { knownFields } from '../assessment/known-fields.ts'
import type { Snapshot } from '../assessment/measures.ts'
import { wheezeLevel } from '../assessment/vocabulary.ts'
import type { Course, Look } from './course.ts'
import type { ReassessmentDocument } from './reassessment-document.ts'

/** Where one domain stands: a level, or the range that is left open. */
export type DomainLevel = {
  readonly id: string
  readonly low: number
  readonly high: number
  readonly words: string
}

/** How the patient was at one look. */
export type JudgedLook = {
  readonly domains: readonly DomainLevel[]
  readonly low: number
  readonly high: number
  /** Highest sum of the domains that were counted. */
  readonly of: number
  /** Null while what is missing could change it. */
  readonly band: string | null
  readonly missing: readonly string[]
  /** Optional domains that were not looked at. */
  readonly leftOut: readonly string[]
}

/** A look as conditions read it: numbers, and signs that follow from what was seen and heard. */
export function lookSnapshot(look: Look): Snapshot {
  const { workOfBreathing: work, breathSounds: sounds, moreOxygenThanUsual } = look
  const all = Object.values(sounds ?? {}).flat()
  const wheeze = sounds === undefined ? null : wheezeLevel(sounds)
  const littleAir = all.includes('absent')
  const signs = {
    'more oxygen than usual': moreOxygenThanUsual,
    'labored or exhausted': work === undefined ? undefined : work === 'labored' || work === 'exhausted',
    'somewhat labored': work === undefined ? undefined : work === 'somewhat labored',
    'wheeze both ways, or too little air': all.length === 0 ? undefined : wheeze === 2 || littleAir,
    'wheeze on breathing out, or less air':
      all.length === 0 ? undefined : wheeze === 1 || all.includes('diminished'),
  }
  return snapshotOf(look, knownFields(signs), knownFields({ peakFlowPercent: look.peakFlowPercent }))
}

/** What a condition is asked against at one look of this course. */
export function findingsAt(look: Look, course: Course, document: ReassessmentDocument): Findings {
  const limit = (name: string) =>
    name === 'spo2TargetLow'
      ? (course.spo2TargetLowPercent ?? undefined)
      : document.limits[name]?.byAge.findLast(({ fromYears }) => fromYears <= course.ageYears)?.value
  return { now: lookSnapshot(look), baseline: null, limit }
}

/**
 * Sums the levels of a look and names its band. What is missing is not zero: it widens the sum, and where the band
 * could change there is none.
 */
export function judgeLook(look: Look, course: Course, document: ReassessmentDocument): JudgedLook {
  const findings = findingsAt(look, course, document)
  const judged = document.domains.map((domain) => ({ domain, ...levelOf(domain, findings) }))
  const counted = judged.filter(({ domain, missing }) => domain.required || missing.length === 0)
  const sum = (end: 'low' | 'high') => counted.reduce((total, each) => total + each[end], 0)
  const [low, high] = [sum('low'), sum('high')]
  const [best, worst] = [
    bandOf(
      low,
      counted.some((each) => each.low === 2),
      document,
    ),
    bandOf(
      high,
      counted.some((each) => each.high === 2),
      document,
    ),
  ]
  return {
    domains: counted.map(({ domain, low: from, high: to }) => ({
      id: domain.id,
      low: from,
      high: to,
      words: from === to ? `${domain.id} ${from}` : `${domain.id} ${from} to ${to}`,
    })),
    low,
    high,
    of: 2 * counted.length,
    band: best === worst ? best : null,
    missing: [...new Set(counted.flatMap(({ missing }) => missing))],
    leftOut: judged.filter((each) => !counted.includes(each)).map(({ domain }) => domain.id),
  }
}

type Level = { readonly low: number; readonly high: number; readonly missing: readonly string[] }

function levelOf({ levels }: ReassessmentDocument['domains'][number], findings: Findings): Level {
  const missing: string[] = []
  let high = 0
  for (const { level, when } of [...levels].sort((a, b) => b.level - a.level)) {
    const judged = judge(when, findings)
    if (judged.holds === true) return { low: level, high: Math.max(high, level), missing }
    if (judged.holds === null) {
      high = Math.max(high, level)
      missing.push(...judged.missing)
    }
  }
  return { low: 0, high, missing }
}

function bandOf(sum: number, topLevel: boolean, { bands, topLevelIsAtLeast }: ReassessmentDocument): string {
  const bySum = bands.findIndex(({ upTo }) => sum <= upTo)
  const byTop = topLevel ? bands.findIndex(({ name }) => name === topLevelIsAtLeast) : 0
  return bands[Math.max(bySum, byTop)]?.name ?? ''
}
