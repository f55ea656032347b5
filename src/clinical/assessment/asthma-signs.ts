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
  const listed = Array.isArray(signs)
  const named = Array.isArray(signs) ? signs.map((sign) => [sign, true] as const) : Object.entries(signs)
  for (const [sign, there] of named) {
    if (OTHER_SIGNS.includes(sign)) continue
    throw new BadInput(listed ? 'signs' : `signs.${sign}`, listed ? sign : there, OTHER_SIGNS.join(', '))
  }
  const flat = Object.entries(SIGN_FIELDS).map(([field, sign]): Told => {
    return { field, sign, there: given[field as keyof typeof SIGN_FIELDS] }
  })
  const spoken = signsOfSpeech(talks)
  const all: readonly Told[] = [
    ...WHAT_SPEECH_SETTLES.map((sign) => ({ field: 'talks', sign, there: spoken[sign] })),
    ...named.map(([sign, there]) => ({ field: 'signs', sign, there })),
    { field: 'accessory', sign: 'accessory muscles', there: accessory },
    {
      field: 'sentence',
      sign: WHAT_SPEECH_SETTLES[0],
      there: sentence === undefined ? undefined : !sentence,
    },
    ...flat,
  ]
  return { ...spoken, ...agreed(all) }
}

type Told = { readonly field: string; readonly sign: string; readonly there: boolean | undefined }

/** Each sign once; who says yes and no of one is asked which. */
function agreed(all: readonly Told[]): Readonly<Record<string, boolean>> {
  const first = new Map<string, Told>()
  for (const told of all.filter(({ there }) => there !== undefined)) {
    const before = first.get(told.sign)
    if (before && before.there !== told.there)
      throw new BadInput(told.field, `at odds with ${before.field}`, `one answer to: ${told.sign}`)
    first.set(told.sign, told)
  }
  return knownFields(Object.fromEntries([...first.values()].map(({ sign, there }) => [sign, there])))
}

/** What talks says beyond doubt. */
const WHAT_SPEECH_SETTLES = ['cannot complete a sentence', 'talks in words'] as const

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
