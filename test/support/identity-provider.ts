import { createServer } from 'node:http'
import type { AddressInfo } from 'node:net'
import Provider from 'oidc-provider'

/** Where our server is said to be reached; nothing listens there, the tests carry what comes back by hand. */
export const CALLBACK = 'http://127.0.0.1:8080/api/hospital-sign-in/done'
export const CLIENT = { clientId: 'mistwright', clientSecret: 'a secret that only the two of them know' }

/** A hospital's sign-in as an independent library runs it, on this machine. `people`: lasting subject to name. */
export async function identityProvider(people: Map<string, string>) {
  const listener = createServer()
  await new Promise<void>((resolve) => listener.listen(0, '127.0.0.1', resolve))
  const issuer = `http://127.0.0.1:${(listener.address() as AddressInfo).port}`
  const provider = new Provider(issuer, {
    clients: [
      {
        client_id: CLIENT.clientId,
        client_secret: CLIENT.clientSecret,
        redirect_uris: [CALLBACK],
        token_endpoint_auth_method: 'client_secret_post',
      },
    ],
    pkce: { required: () => true },
    claims: { openid: ['sub'], profile: ['preferred_username'] },
    cookies: { keys: ['of no consequence'] },
    findAccount: (_context, subject) => ({
      accountId: subject,
      claims: () => ({ sub: subject, preferred_username: people.get(subject) }),
    }),
  })
  listener.on('request', provider.callback())
  return {
    issuer,
    close: () => new Promise((resolve) => listener.close(resolve)),
    signIn: (address: string, subject: string) => signInThere(address, subject),
  }
}

/** Goes through the provider's pages as a browser would, and gives the address that it sends the browser back to. */
async function signInThere(address: string, subject: string): Promise<URL> {
  const jar = new Map<string, string>()
  let next = new URL(address)
  let form: URLSearchParams | null = null
  for (let page = 0; page < 12; page += 1) {
    if (next.href.startsWith(CALLBACK)) return next
    const cookie = [...jar].map(([name, value]) => `${name}=${value}`).join('; ')
    const reply: Response = await fetch(next, {
      redirect: 'manual',
      headers: { cookie },
      ...(form && { method: 'POST', body: form }),
    })
    for (const line of reply.headers.getSetCookie()) {
      const [, name = '', value = ''] = /^([^=]+)=([^;]*)/.exec(line) ?? []
      jar.set(name, value)
    }
    const location = reply.headers.get('location')
    form = location === null ? formOf(await reply.text(), subject) : null
    if (location !== null) next = new URL(location, next)
  }
  throw new Error('the provider did not come to an end')
}

/** What a person would send from the page they see: first their name, then their consent. */
function formOf(page: string, subject: string): URLSearchParams {
  const prompt = /name="prompt" value="(\w+)"/.exec(page)?.[1]
  if (prompt === undefined) throw new Error(`not a page that can be answered: ${page.slice(0, 400)}`)
  return new URLSearchParams({ prompt, ...(prompt === 'login' && { login: subject, password: 'any' }) })
}
