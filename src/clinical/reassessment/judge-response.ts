import { changeAgainstNoise } from '../assessment/change-against-noise.ts'
import type { Measure } from '../assessment/measures.ts'
import { WORK_OF_BREATHING, type WorkOfBreathing, wheezeLevel } from '../assessment/vocabulary.ts'
import type { Look, PastTreatment } from './course.ts'
import { lookSnapshot } from './judge-look.ts'

/** What one treatment did, as far as it can be told from before and after. */
export type Response = {
  readonly at: string
  readonly verdict: 'better' | 'worse' | 'no change that can be told' | 'mixed'
  readonly words: readonly string[]
}

/** What is compared. Heart rate and saturation are not: they move for other reasons than the airways. */
const COMPARED: readonly Measure[] = ['peakFlowLPerMin', 'fev1Ml', 'respiratoryRatePerMin', 'dyspnea0To10']

/**
 * Before against after of one treatment that was given, each change held against the noise of its measurement.
 * Null when it was not given, or when nothing was measured at both ends.
 */
export function judgeResponse({ at, given, before, after }: PastTreatment): Response | null {
  if (!given || !before || !after) return null
  const changes = [...measured(before, after), ...seen(before, after)]
  if (changes.length === 0) return null
  const [better, worse] = (['better', 'worse'] as const).map((way) =>
    changes.some(({ verdict }) => verdict === way),
  )
  const one = better ? 'better' : worse ? 'worse' : 'no change that can be told'
  return { at, verdict: better && worse ? 'mixed' : one, words: changes.map(({ words }) => words) }
}

type Change = { readonly verdict: string | null; readonly words: string }

function measured(before: Look, after: Look): Change[] {
  const [first, second] = [lookSnapshot(before).values, lookSnapshot(after).values]
  return COMPARED.flatMap((measure) => {
    const [from, to] = [first[measure], second[measure]]
    return from === undefined || to === undefined ? [] : [changeAgainstNoise(measure, from, to)]
  })
}

/** Work of breathing and wheeze, by whole steps. */
function seen(before: Look, after: Look): Change[] {
  return [
    steps('work of breathing', workLevel(before), workLevel(after)),
    steps('wheeze', wheezeOf(before), wheezeOf(after)),
  ].flat()
}

function steps(what: string, from: number | null, to: number | null): Change[] {
  if (from === null || to === null) return []
  if (from === to) return [{ verdict: null, words: `${what} as before` }]
  return [
    to < from ? { verdict: 'better', words: `${what} less` } : { verdict: 'worse', words: `${what} more` },
  ]
}

function workLevel({ workOfBreathing }: Look): number | null {
  const at = Object.keys(WORK_OF_BREATHING).indexOf(workOfBreathing as WorkOfBreathing)
  return at === -1 ? null : at
}

function wheezeOf({ breathSounds }: Look): number | null {
  return breathSounds === undefined ? null : wheezeLevel(breathSounds)
}
