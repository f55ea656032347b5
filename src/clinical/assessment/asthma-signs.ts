import { z } from 'zod'
import { BadInput } from '../worked.ts'
import { knownFields } from './known-fields.ts'

const OTHER_SIGNS = [
  'silent chest',
  'cyanosis',
  'poor respiratory effort',
  'exhaustion',
  'altered consciousness',
  'confusion',
  'drowsy',
  'agitation',
  'arrhythmia',
  'hypotension',
  'hunched forward',
  'unable to speak or drink',
  'ventilated with raised pressures',
]

/** Signs as fields of their own, by their names and by those of the published tables. */
const SIGN_FIELDS = {
  silent_chest: 'silent chest',
  cyanosis: 'cyanosis',
  central_cyanosis: 'cyanosis',
  poor_respiratory_effort: 'poor respiratory effort',
  poor_effort: 'poor respiratory effort',
  exhaustion: 'exhaustion',
  altered_consciousness: 'altered consciousness',
  confusion: 'confusion',
  drowsy: 'drowsy',
  agitation: 'agitation',
  agitated: 'agitation',
  arrhythmia: 'arrhythmia',
  hypotension: 'hypotension',
  hunched: 'hunched forward',
  cannot_complete_sentence: 'cannot complete a sentence',
  too_breathless_to_talk_or_eat: 'too breathless to talk or eat',
  unable_to_speak_or_drink: 'unable to speak or drink',
  talks_in_words: 'talks in words',
  accessory_muscles: 'accessory muscles',
  accessory_neck_muscles: 'accessory muscles',
} as const

const seen = z.boolean().optional()
/** The fields by which an attack of asthma is asked about, beside what is measured. */
const SignFields = Object.fromEntries(Object.keys(SIGN_FIELDS).map((field) => [field, seen])) as Record<
  keyof typeof SIGN_FIELDS,
  typeof seen
>

const Talks = z.union([z.boolean(), z.enum(['sentences', 'phrases', 'words'])])

/** The fields in which signs of an attack of asthma may be given. */
export const ASTHMA_SIGN_FIELDS = {
  /** Can finish a sentence in one breath. */
  sentence: seen,
  talks: Talks.optional(),
  accessory: seen,
  /** Other signs by name: true when seen, false when looked for and not there; or a list of those seen. */
  signs: z.union([z.record(z.string(), z.boolean()), z.array(z.string())]).optional(),
  ...SignFields,
}
const AsthmaSigns = z.object(ASTHMA_SIGN_FIELDS)
type AsthmaSigns = z.infer<typeof AsthmaSigns>

/**
 * Signs by every way in which they may be given, by the names that the guidelines' rules know.
 * @throws BadInput for a sign that is not known, or that is given twice, once seen and once not
 */
export function signsGiven(given: AsthmaSigns): Readonly<Record<string, boolean>> {
  const { signs = {}, accessory, sentence, talks } = given
  const named = Array.isArray(signs) ? signs.map((sign) => [sign, true] as const) : Object.entries(signs)
  for (const [sign, there] of named) {
    if (!OTHER_SIGNS.includes(sign)) throw new BadInput(`signs.${sign}`, there, OTHER_SIGNS.join(', '))
  }
  const flat = Object.entries(SIGN_FIELDS).map(([field, sign]) => {
    return [sign, given[field as keyof typeof SIGN_FIELDS]] as const
  })
  const told: Record<string, boolean> = {}
  const all = [
    ...named,
    ['accessory muscles', accessory] as const,
    ['cannot complete a sentence', sentence === undefined ? undefined : !sentence] as const,
    ...flat,
  ]
  for (const [sign, there] of all) {
    if (there === undefined) continue
    if ((told[sign] ?? there) !== there) throw new BadInput(sign, there, `${told[sign]}, as it is given too`)
    told[sign] = there
  }
  const spoken = signsOfSpeech(talks)
  for (const sign of ['cannot complete a sentence', 'talks in words']) {
    if ((told[sign] ?? spoken[sign]) !== (spoken[sign] ?? told[sign]))
      throw new BadInput(sign, told[sign], `${spoken[sign]}, as it follows from talks`)
  }
  return { ...spoken, ...told }
}

/** What follows from speech: who has only words has no whole sentence, and who cannot talk has not even words. */
function signsOfSpeech(talks: z.infer<typeof Talks> | undefined): Readonly<Record<string, boolean>> {
  if (talks === undefined) return {}
  const can = typeof talks === 'boolean' ? talks : undefined
  return knownFields({
    'cannot complete a sentence': talks === true ? undefined : talks !== 'sentences',
    'too breathless to talk or eat': can === undefined ? undefined : !can,
    'unable to speak or drink': can === undefined ? undefined : !can,
    'talks in words': talks === true ? undefined : talks === false || talks === 'words',
  })
}
