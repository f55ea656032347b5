import { sourcesOf } from '../assessment/document.ts'
import type { Source } from '../worked.ts'
import { type Course, HOUR_MS, instantMs, type PastTreatment } from './course.ts'
import type { JudgedLook } from './judge-look.ts'
import type { Response } from './judge-response.ts'
import type { ReassessmentDocument } from './reassessment-document.ts'

export const SUGGESTION_KINDS = [
  'tell the prescriber now',
  'working',
  'not working',
  'response not known',
  'more often',
  'less often',
  'leave the interval',
  'interval withheld',
  'still needed?',
  'other device',
  'doses missed',
] as const
export type SuggestionKind = (typeof SUGGESTION_KINDS)[number]

export type Figure = { readonly name: string; readonly value: number; readonly unit: string }

/** A proposal for a person to take, change or refuse. It changes nothing by itself. */
export type Suggestion = {
  readonly kind: SuggestionKind
  readonly what: string
  readonly because: readonly string[]
  readonly against: readonly string[]
  readonly figures: readonly Figure[]
  /** The interval proposed; null for as needed; absent where no interval is proposed. */
  readonly everyMinutes?: number | null
  /** True where the change cannot be made within the order as it stands. */
  readonly asksPrescriber: boolean
  readonly standing: Source['standing']
  readonly sources: readonly Source[]
}

export type TimedLook = { readonly at: string; readonly ms: number; readonly judged: JudgedLook }

/** All that suggestions are made from. */
export type Evidence = {
  readonly course: Course
  readonly document: ReassessmentDocument
  readonly treatments: readonly PastTreatment[]
  /** The looks taken before treatments, when the last dose has worn off, oldest first. */
  readonly looks: readonly TimedLook[]
  readonly responses: readonly Response[]
  /** Why this cannot wait; empty when it can. */
  readonly urgent: readonly string[]
}

type Draft = Pick<Suggestion, 'kind' | 'what' | 'because'> &
  Partial<Pick<Suggestion, 'against' | 'figures' | 'asksPrescriber'>> & {
    readonly everyMinutes?: number | null
    readonly sources?: readonly string[]
  }

/** A suggestion with its sources looked up; the rule itself is a design rule. */
export function suggest(draft: Draft, document: ReassessmentDocument): Suggestion {
  const { kind, what, because, against = [], figures = [], asksPrescriber = false } = draft
  return {
    kind,
    what,
    because,
    against,
    figures,
    ...(draft.everyMinutes !== undefined && { everyMinutes: draft.everyMinutes }),
    asksPrescriber,
    standing: 'design rule',
    sources: sourcesOf(document.sources, ['DESIGN', ...(draft.sources ?? [])]),
  }
}

/** As-needed doses that were given within so many hours before now. */
export function asNeededWithin({ course, treatments }: Evidence, hours: number): number {
  const from = instantMs('now', course.now) - hours * HOUR_MS
  return treatments.filter(({ prn, given, at }) => prn && given && instantMs('at', at) > from).length
}

/** An interval in words: "every 4 h", "every 90 min", "as needed". */
export function intervalWords(everyMinutes: number | null): string {
  if (everyMinutes === null) return 'as needed'
  return everyMinutes % 60 === 0 ? `every ${everyMinutes / 60} h` : `every ${everyMinutes} min`
}
