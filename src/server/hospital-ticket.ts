import { createHmac, timingSafeEqual } from 'node:crypto'
import { z } from 'zod'

/** What must be remembered between going to the hospital's sign-in and coming back from it. */
const Ticket = z.strictObject({
  state: z.string(),
  nonce: z.string(),
  verifier: z.string(),
  untilMs: z.number(),
})
export type Ticket = z.infer<typeof Ticket>

/** A ticket as a cookie carries it: readable, but not to be made or changed by anybody else. */
export function sealTicket(ticket: Ticket, secret: string): string {
  const said = Buffer.from(JSON.stringify(ticket)).toString('base64url')
  return `${said}.${sealOf(said, secret).toString('base64url')}`
}

/** The ticket in a cookie; null when it was changed, made up, or is too old. */
export function openTicket(cookie: string, secret: string, nowMs: number): Ticket | null {
  const [said = '', seal = ''] = cookie.split('.')
  const given = Buffer.from(seal, 'base64url')
  const right = sealOf(said, secret)
  if (given.length !== right.length || !timingSafeEqual(given, right)) return null
  const ticket = Ticket.parse(JSON.parse(Buffer.from(said, 'base64url').toString('utf8')))
  return nowMs < ticket.untilMs ? ticket : null
}

function sealOf(said: string, secret: string): Buffer {
  return createHmac('sha256', secret).update('hospital sign-in ticket').update(said).digest()
}
