import { MessageAnswers, UploadAnswer } from '../../src/api/schemas.ts'
import { Chart } from '../../src/chart/folds/chart.ts'
import { type AnyFact, readFact } from '../../src/chart/registry.ts'
import { PulledRecord } from '../support/pulled-record.ts'
import { admission, bedsideFacts, type Hand } from './bedside-facts.ts'

export type TabletWords = Hand & { readonly origin: string; readonly password: string }

const TIMEOUT_MS = 6000
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))

/**
 * A tablet without a screen: writes facts, sends them in batches, some of them twice, out of order or side by side,
 * goes on until each was answered for, and pulls what concerns the shift. Remembers what was acknowledged to it.
 */
export class Tablet {
  /** Facts that the server acknowledged, by id, with the number that it gave. */
  readonly acknowledged = new Map<string, number>()
  /** Messages that the server answered with AA, by control id. */
  readonly accepted = new Set<string>()
  readonly #record: PulledRecord
  readonly #words: TabletWords
  readonly #waiting = new Map<string, AnyFact>()
  readonly #written: AnyFact[] = []
  #cookie = ''
  #signingIn: Promise<boolean> | null = null
  #messages = 0
  #stopping = false
  refused = 0

  constructor(words: TabletWords) {
    this.#words = words
    this.#record = new PulledRecord((path, body) => this.#ask(path, body), words.device)
  }

  get waiting(): number {
    return this.#waiting.size
  }

  get written(): number {
    return this.#written.length
  }

  /** Writes and sends until it is told to stop. */
  async work(): Promise<void> {
    const { dice } = this.#words
    while (!this.#stopping) {
      if (this.#waiting.size < 400) this.#write(dice.whole(1, 4))
      await this.#send()
      if (dice.chance(0.05)) await this.#sendMessage()
      if (dice.chance(0.2)) await this.#record.step(this.#waiting.size)
      await pause(dice.whole(60, 250))
    }
  }

  stop(): void {
    this.#stopping = true
  }

  /** Sends all that waits and takes over all that concerns the shift. */
  async settle(untilMs: number): Promise<void> {
    while (this.#waiting.size > 0) {
      if (Date.now() > untilMs) throw new Error(`${this.#waiting.size} facts could not be sent in time`)
      await this.#send()
    }
    while ((await this.#record.step()) !== 'quiet') {
      if (Date.now() > untilMs) throw new Error('what others wrote could not be taken over in time')
    }
  }

  /** What it holds, folded in an order that the dice throw: a tablet gets patients whole, and late. */
  chart(): Chart {
    const chart = new Chart()
    for (const { fact, deviceAheadMs } of this.#words.dice.shuffled(this.#record.entries())) {
      const known = readFact(fact)
      if (!known.ok) throw new Error(`fact ${fact.id} cannot be read`)
      chart.add([known.fact], deviceAheadMs === null ? undefined : new Map([[fact.id, deviceAheadMs]]))
    }
    return chart
  }

  #write(count: number): void {
    for (const fact of bedsideFacts(this.#words, count)) {
      this.#waiting.set(fact.id, fact)
      this.#written.push(fact)
    }
  }

  async #send(): Promise<void> {
    const { dice } = this.#words
    const waiting = dice.shuffled([...this.#waiting.values()]).slice(0, 200)
    const again = dice.chance(0.3) ? dice.shuffled(this.#written).slice(0, 5) : []
    const batch = [...waiting, ...again]
    if (batch.length === 0) return
    // Now and then the same twice, side by side: an answer was given up on, and came after all.
    const times = dice.chance(0.2) ? 2 : 1
    await Promise.all(Array.from({ length: times }, () => this.#upload(dice.shuffled(batch))))
  }

  async #upload(facts: readonly AnyFact[]): Promise<void> {
    const sentAt = new Date(this.#words.nowMs()).toISOString()
    const answer = await this.#ask('/api/facts', { sentAt, facts })
    const read = UploadAnswer.safeParse(answer)
    if (!read.success) return
    for (const result of read.data.results) {
      if (result.status === 'refused') {
        this.refused += 1
        continue
      }
      const before = this.acknowledged.get(result.id)
      if (before !== undefined && before !== result.sequence)
        throw new Error(`fact ${result.id} was acknowledged as ${before}, and as ${result.sequence}`)
      this.acknowledged.set(result.id, result.sequence)
      this.#waiting.delete(result.id)
    }
  }

  async #sendMessage(): Promise<void> {
    const { device, nowMs, dice } = this.#words
    this.#messages += 1
    const controlId = `${device}-${this.#messages}`
    const text = admission(controlId, dice.whole(1, 6), new Date(nowMs()))
    const times = dice.chance(0.5) ? 2 : 1
    for (let time = 0; time < times; time += 1) {
      const read = MessageAnswers.safeParse(await this.#ask('/api/messages', { channel: 'hl7v2', text }))
      if (read.success && read.data.answers.every(({ code }) => code === 'AA')) this.accepted.add(controlId)
    }
  }

  /** Asks, and signs in first where the session is over. Null for whatever did not come through. */
  async #ask(path: string, body: object): Promise<unknown> {
    const reply = await this.#call(path, body)
    if (reply?.status === 401 && (await this.#signIn())) return (await this.#call(path, body))?.body ?? null
    return reply?.body ?? null
  }

  /** One sign-in at a time, whatever is sent side by side. */
  #signIn(): Promise<boolean> {
    this.#signingIn ??= this.#enter().finally(() => {
      this.#signingIn = null
    })
    return this.#signingIn
  }

  async #enter(): Promise<boolean> {
    const { personId, password } = this.#words
    const reply = await this.#call('/api/sign-in', { username: personId, password })
    if (reply?.status === 429 || reply === null) await pause(500)
    return reply?.status === 200
  }

  async #call(path: string, body: object): Promise<{ status: number; body: unknown } | null> {
    try {
      const reply = await fetch(`${this.#words.origin}${path}`, {
        method: 'POST',
        headers: { cookie: this.#cookie, 'content-type': 'application/json' },
        body: JSON.stringify(body),
        signal: AbortSignal.timeout(TIMEOUT_MS),
      })
      const cookies = reply.headers.getSetCookie().map((cookie) => cookie.split(';')[0] ?? '')
      const kept = cookies.filter((cookie) => !cookie.endsWith('='))
      if (kept.length > 0) this.#cookie = kept.join('; ')
      const text = await reply.text()
      return { status: reply.status, body: text === '' ? null : JSON.parse(text) }
    } catch {
      // The network was cut, or the server was killed: nothing is known of what became of it.
      await pause(50)
      return null
    }
  }
}
