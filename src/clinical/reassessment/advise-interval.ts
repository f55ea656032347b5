import { HOUR_MS } from './course.ts'
import {
  asNeededWithin,
  type Evidence,
  intervalWords,
  type Suggestion,
  suggest,
  type TimedLook,
} from './suggestion.ts'

/**
 * Whether the interval could be one step longer, should be one step shorter, or stays. Gates before points: a
 * controller is never re-timed, nothing is made less while something is urgent, nothing below the home regimen.
 */
export function adviseInterval(evidence: Evidence): Suggestion {
  const { course, document, looks } = evidence
  const { everyMinutes, kind } = course.order
  if (kind !== 'rescue bronchodilator')
    return leave(evidence, [`The order is for a ${kind}, which this rule never re-times.`])
  if (everyMinutes === null) return leave(evidence, ['The order has no interval to step through.'])
  const shorter = reasonsForShorter(evidence)
  if (shorter.length > 0) return moreOften(evidence, everyMinutes, shorter)
  const last = looks.at(-1)
  if (!last) return withheld(evidence, ['No look before a treatment is on record.'])
  if (last.judged.band === null) {
    return withheld(evidence, [
      `The last look is open: ${sumWords(last)}; missing: ${last.judged.missing.join(', ')}.`,
    ])
  }
  const against = reasonsAgainstLonger(evidence)
  if (against.length > 0) return leave(evidence, against)
  const longer = document.ladderMinutes.find((step) => step > everyMinutes) ?? null
  const { homeEveryMinutes } = course.order
  if (homeEveryMinutes !== undefined && (longer === null || longer > homeEveryMinutes)) {
    return leave(evidence, [
      `Settled, but ${intervalWords(longer)} would be less than at home (${intervalWords(homeEveryMinutes)}).`,
    ])
  }
  return lessOften(evidence, longer)
}

function reasonsForShorter(evidence: Evidence): string[] {
  const { document, looks } = evidence
  const last = looks.at(-1)
  const worst = document.bands.at(-1)?.name
  const doses = asNeededWithin(evidence, document.quietHours)
  return [
    ...(last && last.judged.band === worst ? [`The last look was ${worst}: ${sumWords(last)}.`] : []),
    ...(doses >= document.asNeededForShorter
      ? [
          `${doses} as-needed doses in ${document.quietHours} h: symptoms came back before the next dose was due.`,
        ]
      : []),
  ]
}

function reasonsAgainstLonger(evidence: Evidence): string[] {
  const { document, urgent } = evidence
  const good = settledLooks(evidence)
  const doses = asNeededWithin(evidence, document.quietHours)
  const [best] = document.bands
  return [
    ...(urgent.length > 0 ? ['Something urgent was found: nothing is made less.'] : []),
    ...(doses > 0 ? [`As-needed doses in ${document.quietHours} h: ${doses}.`] : []),
    ...(good < document.looksForLonger
      ? [
          `${good} of ${document.looksForLonger} ${best?.name} looks at least ${document.hoursBetweenLooks} h apart.`,
        ]
      : []),
  ]
}

/** How many of the latest looks, without one that was worse between them, were settled and far enough apart. */
function settledLooks({ document, looks }: Evidence): number {
  const [best] = document.bands
  let count = 0
  let next = Number.POSITIVE_INFINITY
  for (const { ms, judged } of [...looks].reverse()) {
    if (judged.band !== best?.name) break
    if (next - ms < document.hoursBetweenLooks * HOUR_MS) continue
    count += 1
    next = ms
  }
  return count
}

function moreOften(evidence: Evidence, everyMinutes: number, because: readonly string[]): Suggestion {
  const { course, document } = evidence
  const shorter = document.ladderMinutes.findLast((step) => step < everyMinutes)
  if (shorter === undefined) {
    const what = `Already ${intervalWords(everyMinutes)}: ask for another plan, not for a shorter interval.`
    return suggest(
      { kind: 'more often', what, because, asksPrescriber: true, figures: figures(evidence) },
      document,
    )
  }
  const { shortestMinutes } = course.order
  const allowed = shortestMinutes !== undefined && shorter >= shortestMinutes
  return suggest(
    {
      kind: 'more often',
      what: `One step more often: ${intervalWords(shorter)} in place of ${intervalWords(everyMinutes)}.`,
      because,
      against: allowed ? [] : ['The order as it stands does not allow it: it takes a new one.'],
      figures: figures(evidence),
      everyMinutes: shorter,
      asksPrescriber: !allowed,
      sources: ['STEP_PRACTICE'],
    },
    document,
  )
}

function lessOften(evidence: Evidence, everyMinutes: number | null): Suggestion {
  const { course, document } = evidence
  const [best] = document.bands
  return suggest(
    {
      kind: 'less often',
      what: `One step less often: ${intervalWords(everyMinutes)} in place of ${intervalWords(course.order.everyMinutes)}.`,
      because: [
        `${settledLooks(evidence)} ${best?.name} looks at least ${document.hoursBetweenLooks} h apart.`,
        `No as-needed dose in ${document.quietHours} h.`,
      ],
      against: course.order.asNeeded ? [] : ['No as-needed dose is ordered beside it: ask for one.'],
      figures: figures(evidence),
      everyMinutes,
      asksPrescriber: true,
      sources: ['STEP_PRACTICE', 'KALLAM_2013'],
    },
    document,
  )
}

function leave(evidence: Evidence, because: readonly string[]): Suggestion {
  const what = `Leave it ${intervalWords(evidence.course.order.everyMinutes)}.`
  return suggest({ kind: 'leave the interval', what, because, figures: figures(evidence) }, evidence.document)
}

function withheld(evidence: Evidence, because: readonly string[]): Suggestion {
  const what = 'No proposal on the interval until what is missing has been looked at.'
  return suggest({ kind: 'interval withheld', what, because, figures: figures(evidence) }, evidence.document)
}

/** "3 to 7 of 8": a sum with what is open in it. */
export function sumWords({ judged: { low, high, of } }: TimedLook): string {
  return `${low === high ? low : `${low} to ${high}`} of ${of}`
}

function figures(evidence: Evidence) {
  const { looks, document } = evidence
  const last = looks.at(-1)
  return [
    ...(last ? [{ name: 'sum of the last look, at least', value: last.judged.low, unit: '{score}' }] : []),
    {
      name: `as-needed doses in ${document.quietHours} h`,
      value: asNeededWithin(evidence, document.quietHours),
      unit: '{dose}',
    },
  ]
}
