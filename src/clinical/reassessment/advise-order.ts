import { HOUR_MS } from './course.ts'
import { asNeededWithin, type Evidence, type Suggestion, suggest } from './suggestion.ts'

/** What cannot wait for the next review. */
export function adviseUrgent(evidence: Evidence): Suggestion[] {
  const { document, urgent } = evidence
  const doses = asNeededWithin(evidence, document.quietHours)
  const because = [
    ...urgent,
    ...(doses >= document.urgentDosesToTell ? [`${doses} as-needed doses in ${document.quietHours} h.`] : []),
  ]
  if (because.length === 0) return []
  const what = 'Tell the prescriber now.'
  return [
    suggest(
      { kind: 'tell the prescriber now', what, because, asksPrescriber: true, sources: ['BTS'] },
      document,
    ),
  ]
}

/** Is it working? From the changes of the last treatments that were measured before and after. */
export function adviseWorking(evidence: Evidence): Suggestion {
  const { document, responses } = evidence
  const { pairsForResponse } = document
  const latest = responses.slice(-pairsForResponse)
  const because = latest.map(({ at, verdict, words }) => `${at}: ${verdict} (${words.join('; ')}).`)
  const better = latest.filter(({ verdict }) => verdict === 'better').length
  const figures = [
    {
      name: 'treatments with a response, of the last measured at both ends',
      value: better,
      unit: '{treatment}',
    },
    {
      name: 'treatments measured at both ends that were looked at',
      value: latest.length,
      unit: '{treatment}',
    },
  ]
  const draft = { because, figures, sources: ['AARC_ARBD'] }
  if (better > 0)
    return suggest(
      { ...draft, kind: 'working', what: `It works: ${better} of the last ${latest.length}.` },
      document,
    )
  const mixed = latest.some(({ verdict }) => verdict === 'mixed')
  if (latest.length < pairsForResponse || mixed || nothingToImprove(evidence)) {
    const why = mixed
      ? 'Some findings got better and some worse.'
      : latest.length < pairsForResponse
        ? `Measured before and after: ${latest.length} of ${pairsForResponse} treatments.`
        : 'Nothing was left to improve before the treatments.'
    return suggest(
      {
        ...draft,
        because: [...because, why],
        kind: 'response not known',
        what: 'Whether it works cannot be told.',
      },
      document,
    )
  }
  return suggest(
    {
      ...draft,
      kind: 'not working',
      what: 'No response that can be told: think again about cause, technique, device, medicine.',
      against: [
        'A change can be smaller than the noise of its measurement and still be felt: ask the patient.',
      ],
      asksPrescriber: true,
      sources: ['AARC_ARBD', 'AARC_2015'],
    },
    document,
  )
}

/** Every look before the last treatments was without a finding: no response can be expected of them. */
function nothingToImprove({ looks, document }: Evidence): boolean {
  const latest = looks.slice(-document.pairsForResponse)
  return latest.length > 0 && latest.every(({ judged }) => judged.high === 0)
}

/** Is it still needed? After so many hours without a finding and without an as-needed dose. */
export function adviseNeeded(evidence: Evidence): Suggestion[] {
  const { course, document, looks, urgent } = evidence
  if (course.order.kind !== 'rescue bronchodilator' || urgent.length > 0) return []
  if (asNeededWithin(evidence, document.quietHours) > 0) return []
  const firstClear = looks.length - [...looks].reverse().findIndex(({ judged }) => judged.high > 0)
  const clear = looks.slice(looks.some(({ judged }) => judged.high > 0) ? firstClear : 0)
  const [first, last] = [clear[0], clear.at(-1)]
  if (!first || !last || clear.length < document.looksForLonger) return []
  const hours = (last.ms - first.ms) / HOUR_MS
  if (hours < document.clearHours) return []
  const { homeEveryMinutes } = course.order
  return [
    suggest(
      {
        kind: 'still needed?',
        what:
          homeEveryMinutes === undefined
            ? `Ask whether it is still needed. If it is stopped, look again ${document.review.afterStoppingHours} h later.`
            : 'Ask whether the home regimen would do.',
        because: [
          `Nothing found at ${clear.length} looks over ${Math.floor(hours)} h.`,
          `No as-needed dose in ${document.quietHours} h.`,
        ],
        figures: [{ name: 'hours without a finding', value: hours, unit: 'h' }],
        asksPrescriber: true,
        sources: ['PILOT_1996'],
      },
      document,
    ),
  ]
}

/** Would another device do, or do better? From the last look. */
export function adviseDevice({ course, document, treatments, looks, urgent }: Evidence): Suggestion[] {
  const last = treatments.findLast(({ before }) => before !== null)?.before
  if (!last) return []
  const { device } = course.order
  const follows = last.ability === 'follows and holds a mouthpiece'
  const cannot =
    last.ability === 'cannot follow' || (last.consciousness !== undefined && last.consciousness !== 'alert')
  const tired = last.workOfBreathing === 'exhausted'
  if (device === 'nebulizer with mouthpiece' && (cannot || tired)) {
    const because = [cannot ? 'The patient cannot follow or is not alert.' : 'The patient is exhausted.']
    return [
      suggest({ kind: 'other device', what: 'A snug mask in place of the mouthpiece.', because }, document),
    ]
  }
  if (device === 'inhaler with spacer' && (cannot || tired)) {
    const because = [cannot ? 'The patient cannot follow or is not alert.' : 'The patient is exhausted.']
    const what = 'A nebulizer with a mask in place of the inhaler.'
    return [suggest({ kind: 'other device', what, because, asksPrescriber: true }, document)]
  }
  const settled = looks.at(-1)?.judged.band === document.bands[0]?.name
  const old = course.ageYears >= document.inhalerFromYears
  if (!device.startsWith('nebulizer') || !settled || !old || !follows || cannot || urgent.length > 0)
    return []
  return [
    suggest(
      {
        kind: 'other device',
        what: 'Ask whether an inhaler with a spacer would do.',
        because: ['Settled at the last look, alert, follows and holds a mouthpiece.'],
        against: ['Technique has to be seen first; some medicines come for the nebulizer only.'],
        asksPrescriber: true,
        sources: ['PILOT_1996'],
      },
      document,
    ),
  ]
}

/** Do the doses reach the patient at all? */
export function adviseMissed({ document, treatments }: Evidence): Suggestion[] {
  const latest = treatments.filter(({ prn }) => !prn).slice(-document.missedOutOf)
  const missed = latest.filter(({ given }) => !given)
  if (missed.length < document.missedToAsk) return []
  const reasons = missed.map(({ at, reasonNotGiven }) => `${at}: ${reasonNotGiven ?? 'no reason recorded'}.`)
  return [
    suggest(
      {
        kind: 'doses missed',
        what: `${missed.length} of the last ${latest.length} doses by the clock were not given: find out why before judging the order.`,
        because: reasons,
        figures: [{ name: 'doses not given', value: missed.length, unit: '{dose}' }],
        sources: ['STOLLER_2003'],
      },
      document,
    ),
  ]
}
