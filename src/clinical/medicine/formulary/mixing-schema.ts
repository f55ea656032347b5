import { z } from 'zod'
import { backing, Id, Words } from './backing.ts'

/** Stands for any other drug. */
export const ANY_OTHER = '*'

/** What was published about two drugs in one cup. The order of the two does not matter. */
export const Pair = z.strictObject({
  a: Id,
  b: Id,
  inVitro: z.enum(['compatible', 'incompatible', 'no data', 'used together in trial']),
  label: z
    .strictObject({ position: z.enum(['allows', 'forbids', 'not established']), text: Words })
    .exactOptional(),
  /** Two drugs of one kind: a duplicate first of all. */
  duplicate: z.literal(true).exactOptional(),
  /** The longest time tested or allowed; 0 is at once. */
  useWithinMin: z.number().min(0).exactOptional(),
  tested: Words.exactOptional(),
  note: Words.exactOptional(),
  ...backing,
})
export type Pair = z.infer<typeof Pair>

/** What mixing did to the mist. */
const Finding = z.strictObject({ drugs: z.array(Id).min(2), what: Words, ...backing })

export const Mixing = z.strictObject({
  pairs: z.array(Pair),
  findings: z.array(Finding),
  threeOrMore: z.strictObject({ what: Words, ...backing }),
})
