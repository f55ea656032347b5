import * as oidc from 'openid-client'
import { openTicket, sealTicket } from './hospital-ticket.ts'

/** How the hospital's own sign-in is reached (OpenID Connect Core 1.0, authorization code flow with PKCE). */
export type ProviderConfig = {
  /** The provider's issuer address; all else about it is discovered there. */
  readonly issuer: string
  readonly clientId: string
  /** Null for a public client: PKCE then stands alone. */
  readonly clientSecret: string | null
  /** The claim that says which of the department's people this is. */
  readonly claim: string
  /** What the button says. */
  readonly name: string
  /** Where the provider sends people back to; to be registered with it. */
  readonly callback: string
  /** Seals what the browser carries meanwhile. */
  readonly secret: string
}

/** Whom the provider says it is: `subject` for good, `personId` by the claim that was agreed on. */
export type HospitalIdentity = {
  readonly issuer: string
  readonly subject: string
  readonly personId: string
}

/** The provider could not be asked; `cause` has the reason. */
export class ProviderAway extends Error {}
/** What came back does not hold: not asked for by this browser, too late, changed, or refused by the provider. */
export class NotVouchedFor extends Error {}

/** How long somebody may take at the hospital's sign-in [ms]. Design rule. */
const TICKET_MS = 10 * 60_000

/** The hospital's own sign-in, as one client of it. */
export class HospitalProvider {
  readonly config: ProviderConfig
  readonly #nowMs: () => number
  #found: oidc.Configuration | null = null

  constructor(config: ProviderConfig, nowMs: () => number) {
    this.config = config
    this.#nowMs = nowMs
  }

  /**
   * Where to send the browser, and the ticket it carries along.
   * @throws ProviderAway
   */
  async begin(): Promise<{ readonly address: string; readonly ticket: string }> {
    const provider = await this.#provider()
    const verifier = oidc.randomPKCECodeVerifier()
    const [state, nonce] = [oidc.randomState(), oidc.randomNonce()]
    const address = oidc.buildAuthorizationUrl(provider, {
      redirect_uri: this.config.callback,
      scope: 'openid profile',
      code_challenge: await oidc.calculatePKCECodeChallenge(verifier),
      code_challenge_method: 'S256',
      state,
      nonce,
    })
    const ticket = { state, nonce, verifier, untilMs: this.#nowMs() + TICKET_MS }
    return { address: address.href, ticket: sealTicket(ticket, this.config.secret) }
  }

  /**
   * Whom the provider vouches for. `query` is what the browser came back with.
   * @throws ProviderAway, NotVouchedFor
   */
  async finish(query: string, cookie: string): Promise<HospitalIdentity> {
    const ticket = openTicket(cookie, this.config.secret, this.#nowMs())
    if (ticket === null) throw new NotVouchedFor('no ticket of this browser')
    const provider = await this.#provider()
    const claims = await this.#claims(provider, new URL(`${this.config.callback}${query}`), ticket)
    const personId = claims[this.config.claim]
    if (typeof personId !== 'string' || personId === '') {
      throw new NotVouchedFor(`the provider gave no ${this.config.claim}`)
    }
    return { issuer: this.config.issuer, subject: claims.sub, personId: personId.trim().toLowerCase() }
  }

  /** The claims of the ID token, and those of the user info page for what the token leaves out. */
  async #claims(
    provider: oidc.Configuration,
    address: URL,
    { verifier, state, nonce }: { verifier: string; state: string; nonce: string },
  ): Promise<oidc.IDToken & Record<string, unknown>> {
    try {
      const tokens = await oidc.authorizationCodeGrant(provider, address, {
        pkceCodeVerifier: verifier,
        expectedState: state,
        expectedNonce: nonce,
        idTokenExpected: true,
      })
      const claims = tokens.claims()
      if (claims === undefined) throw new NotVouchedFor('no ID token')
      if (this.config.claim in claims) return claims
      const more = await oidc.fetchUserInfo(provider, tokens.access_token, claims.sub)
      return { ...more, ...claims }
    } catch (cause) {
      if (cause instanceof NotVouchedFor) throw cause
      throw new NotVouchedFor('the provider does not vouch for this', { cause })
    }
  }

  /** Looked up once it can be reached; a provider that is away now is asked again at the next sign-in. */
  async #provider(): Promise<oidc.Configuration> {
    if (this.#found) return this.#found
    const { issuer, clientId, clientSecret } = this.config
    try {
      this.#found = await oidc.discovery(
        new URL(issuer),
        clientId,
        clientSecret ?? undefined,
        clientSecret === null ? oidc.None() : oidc.ClientSecretPost(clientSecret),
        isThisMachine(issuer) ? { execute: [oidc.allowInsecureRequests] } : {},
      )
      return this.#found
    } catch (cause) {
      throw new ProviderAway('the hospital’s sign-in cannot be reached', { cause })
    }
  }
}

/** Whether an address is on this machine, where plain HTTP gives nothing away. */
export function isThisMachine(address: string): boolean {
  return ['127.0.0.1', '[::1]', 'localhost'].includes(new URL(address).hostname)
}
