import type { Source } from '../../worked.ts'
import { type Backed, sourceLine, standsFirm } from '../formulary/backing.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Answerer, Rule, Severity } from '../formulary/rule-schema.ts'

/** Something that a review found: what, why, from which sources, and who must answer it. */
export type Finding = {
  /** Unique within one review; names the medicine where it is about one. */
  readonly code: string
  readonly severity: Severity
  readonly what: string
  readonly why: string
  /** One line a source, with how well it stands. */
  readonly sources: readonly string[]
  readonly whoMustAnswer: Answerer
}

/** A finding before it is put into words for the record: its sources still as data. */
export type Draft = Omit<Finding, 'sources'> & { readonly sources: readonly Source[] }

/** What a finding says, by field; severity as wished for. */
export type Said = Omit<Draft, 'sources'>

/** A finding with what stands behind it. What rests on memory or habit alone never stops a treatment: it asks. */
export function draft(formulary: Formulary, said: Said, backed: Backed): Draft {
  return drafted(said, formulary.sources(backed))
}

export function drafted(said: Said, sources: readonly Source[]): Draft {
  const severity = said.severity === 'stop' && !standsFirm(sources) ? 'ask' : said.severity
  return { ...said, severity, sources }
}

const ORDER: readonly Severity[] = ['stop', 'ask', 'caution', 'note']

/** Findings for the record, the gravest first, each code once. */
export function findingsOf(drafts: readonly Draft[]): readonly Finding[] {
  const once = [...new Map(drafts.map((each) => [each.code, each])).values()]
  return once
    .sort((a, b) => ORDER.indexOf(a.severity) - ORDER.indexOf(b.severity))
    .map((each) => ({ ...each, sources: each.sources.map(sourceLine) }))
}

/** Wording of a rule of this program. */
export const byRule = (key: string): Backed => ({ status: 'design rule', sources: [key] })

/** The formulary's rule about doses that are too close or too much, where it holds one. */
export function ruleOf(formulary: Formulary, kind: 'too-early' | 'over-24-hours'): Rule | undefined {
  return formulary.document.rules.find((rule) => rule.kind === kind)
}
