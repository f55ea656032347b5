import type { FastifyBaseLogger, FastifyRequest } from 'fastify'
import type { Act } from '../chart/permissions.ts'
import type { Door } from '../exchange/receive.ts'
import type { Ledger } from '../store/ledger.ts'
import type { HospitalProvider } from './hospital-provider.ts'
import type { Intake } from './intake.ts'
import type { LiveChart } from './live-chart.ts'
import type { ReadyFeeds } from './mllp/read-certificates.ts'
import type { OnDemand } from './on-demand.ts'
import type { People, SignedIn } from './people.ts'

/** Everything a server is made of; tests give their own clock and folder. */
export type ServerParts = {
  readonly ledger: Ledger
  readonly people: People
  readonly facility: string
  readonly door: Door
  readonly nowMs: () => number
  /** Where the built app lies; null serves the API only. */
  readonly appFolder: string | null
  /** True behind TLS: then browsers are told to come by https only. */
  readonly secure: boolean
  /** Where people reach the server, when a proxy in front of it goes by another name. */
  readonly publicUrl?: string
  /** The hospital's own sign-in, where there is one. */
  readonly hospital: HospitalProvider | null
  readonly logger: FastifyBaseLogger | false
  /** The lines to other systems of the hospital; `listening` is told the port on which messages are taken. */
  readonly feeds?: ReadyFeeds & { readonly listening?: (port: number) => void }
}

/** What routes are given: the parts, the chart, and the checks in one place. */
export type Context = ServerParts & {
  /** What may still concern somebody, for lists; see LiveChart. */
  readonly chart: LiveChart
  /** The whole record, by ids. */
  readonly record: OnDemand
  readonly intake: Intake
  /** Idle minutes after which a screen locks itself, by the site document in force now. */
  readonly lockAfterMinutes: () => Promise<number>
  /** Who asks. @throws Problem 401, 423 or 403 */
  readonly allow: (
    request: FastifyRequest,
    act: Act | null,
    more?: { readonly evenLocked?: boolean },
  ) => Promise<SignedIn>
  /** Notes that somebody looked at or took out something. */
  readonly note: (
    request: FastifyRequest,
    who: Pick<SignedIn, 'personId'>,
    what: string,
    about?: string,
  ) => Promise<void>
}
