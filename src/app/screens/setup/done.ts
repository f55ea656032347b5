import { z } from 'zod'

/** What the server answers when something was simply done. */
export const Done = z.object({ ok: z.literal(true) })
