import { z } from 'zod'

/** A check may carry the name of its score along; the name of another score is refused. */
export const labelOf = (score: string) =>
  z
    .string()
    .regex(new RegExp(`^${score}`), `not a name of ${score}`)
    .optional()
