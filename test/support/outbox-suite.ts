import { Server } from 'node-hl7-server'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { AnyFact, BodyOf } from '../../src/chart/registry.ts'
import { readFeeds } from '../../src/server/mllp/feed-settings.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import { QID_ALBUTEROL, TestWriter } from './facts.ts'
import { controlIdOf, RawReceiver } from './mllp.ts'
import { HERE, START, type TestServer, testServer } from './test-server.ts'
import { begun, DECLINED, given, measured, signed, treated } from './treatment.ts'

const NAME = 'pharmacy'
const about = (number: number) => ({ patientId: 'p', orderId: 'o', visitId: `v${number}` })

/** Two servers in one test process would wait for one SQLite file for ever: its waiting stops the process. */
type Together = { readonly severalServers: true }

/** What is promised of messages that we send, whichever database they stand on. */
export function outboxSuite(name: string, newAddress: () => Promise<string>, more?: Together): void {
  describe(`messages that we send, on ${name}`, () => {
    let address: string
    let receiver: RawReceiver
    let port: number
    let server: TestServer
    let writer: TestWriter
    const open = async (more: object = {}, door = 99) => {
      const receiver = { application: 'PHARMACY', facility: 'LARKMERE' }
      const waits = { firstWaitSeconds: 0.02, longestWaitSeconds: 0.05, answerSeconds: 0.5 }
      const send = [
        { name: NAME, host: '127.0.0.1', port, receiver, messages: ['RAS^O17'], ...waits, ...more },
      ]
      const read = readFeeds(JSON.stringify({ send }))
      if (!read.ok) throw new Error(read.what)
      const feeds = { feeds: read.feeds, listenTls: null, sendTls: new Map() }
      const opened = await testServer({ staff: [], address, door, parts: { feeds } })
      await opened.app.ready()
      return opened
    }
    beforeEach(async () => {
      address = await newAddress()
      receiver = new RawReceiver()
      port = await receiver.listen()
      writer = new TestWriter('2026-03-10T10:00:00.000Z')
      server = await open()
      await store(admitted())
    })
    afterEach(async () => {
      await server.close()
      await receiver.close()
    })

    const admitted = () => {
      const patch = { mrn: 'LK204101', family: 'Kestrel', given: 'Anselm', dob: '1962-10-17' }
      return [
        writer.write('census-updated', { patientId: 'p' }, { event: 'admitted', patch }),
        writer.write(
          'order-placed',
          { patientId: 'p', orderId: 'o' },
          { order: QID_ALBUTEROL, channel: 'hl7v2' },
        ),
      ]
    }
    const store = (facts: readonly AnyFact[]) =>
      server.ledger.append(HERE, { facts, receivedAt: START, deviceAheadMs: null })
    const facts = async (): Promise<AnyFact[]> =>
      (await server.ledger.after(HERE, 0, 10_000)).map(({ text }) => JSON.parse(text))
    const answered = async (count: number): Promise<BodyOf<'message-answered'>[]> => {
      while (true) {
        const all = (await facts()).flatMap((fact) => (fact.kind === 'message-answered' ? [fact.body] : []))
        if (all.length >= count) return all
        await new Promise((resolve) => setTimeout(resolve, 10))
      }
    }
    const composed = async () => (await facts()).filter(({ kind }) => kind === 'message-composed')

    it('are taken by an independent receiver: given, not given and corrected, in their order', async () => {
      await receiver.close()
      // The library hands on all that came over a connection so far with each message; each is counted once.
      const heard = new Set<string>()
      const other = new Server({ bindAddress: '127.0.0.1' })
      const inbound = other.createInbound({ port }, async (request, response) => {
        heard.add(request.getMessage().toString())
        await response.sendResponse('AA')
      })
      await new Promise<void>((resolve) => inbound.once('listen', () => resolve()))
      const first = treated(writer, about(1))
      await store(first)
      const { visitId: _, ...noVisit } = about(2)
      await store([writer.write('dose-not-given', noVisit, DECLINED)])
      await answered(2)
      const wrong = first.find(({ kind }) => kind === 'measured')?.id ?? ''
      await store([
        writer.write('entry-struck', about(1), { reason: 'misread' }, { corrects: wrong }),
        measured(writer, about(1), 99),
      ])
      expect((await answered(3)).map(({ outcome, tries }) => [outcome, tries])).toEqual(
        Array(3).fill(['taken', 1]),
      )
      const status = [...heard].map((text) => /\|(CP|RE|PA|NA)\|([AUD])\|/.exec(text)?.slice(1))
      expect(status).toEqual([
        ['CP', 'A'],
        ['RE', 'A'],
        ['CP', 'U'],
      ])
      expect([...heard][2]).toContain('|99|')
      await inbound.close()
    })

    it('wait in their order while nobody can be reached, and each is sent once when somebody can', async () => {
      await receiver.close()
      for (const number of [1, 2, 3]) await store(treated(writer, about(number), 80 + number))
      const waiting = /mistwright_messages_waiting\{destination="pharmacy"\} 3/
      while (!waiting.test((await server.get('/api/metrics')).body))
        await new Promise((go) => setTimeout(go, 20))
      receiver = new RawReceiver()
      await receiver.listen(port)
      await answered(3)
      expect(receiver.heard.map((text) => /8467|\|(8\d)\|/.exec(text)?.[1])).toEqual(['81', '82', '83'])
      expect((await verifyLedger(server.ledger, HERE)).kind).toBe('whole')
    })

    it('are sent again to the byte when an answer was lost, by this process or by the next', async () => {
      receiver.reply = 'close'
      await store(treated(writer, about(1)))
      await receiver.until(2)
      receiver.reply = 'silence'
      const heard = receiver.heard.length
      await receiver.until(heard + 1)
      // The process ends between the sending and the answer, and another begins.
      await server.close()
      receiver.reply = 'AA'
      server = await open({}, 7)
      expect(await answered(1)).toMatchObject([{ outcome: 'taken' }])
      expect(new Set(receiver.heard).size).toBe(1)
      expect(await composed()).toHaveLength(1)
    })

    it('that are refused are given up at once, and the next goes on; asked for again they are written anew', async () => {
      receiver.reply = 'AE'
      await store(treated(writer, about(1)))
      expect(await answered(1)).toMatchObject([{ outcome: 'refused', why: 'AE: no such order', tries: 1 }])
      receiver.reply = 'AA'
      await store(treated(writer, about(2)))
      expect((await answered(2)).map(({ outcome }) => outcome)).toEqual(['refused', 'taken'])
      expect((await server.get('/api/metrics')).body).toContain(
        'mistwright_messages_given_up{destination="pharmacy"} 1',
      )
      const messageId = (await composed())[0]?.about.messageId ?? ''
      const settled = {
        item: `outgoing:${messageId}`,
        how: 'sent-again',
        note: 'order is there now',
      } as const
      await store([writer.write('item-settled', { messageId }, settled)])
      expect((await answered(3)).map(({ outcome }) => outcome)).toEqual(['refused', 'taken', 'taken'])
      const ids = receiver.heard.map(controlIdOf)
      expect(new Set(ids).size).toBe(3)
      expect(ids.every((id) => id.length === 20)).toBe(true)
    })

    it('that are rejected or never answered are given up after so many tries', async () => {
      await server.close()
      server = await open({ mostTriesUnanswered: 2, mostTriesRejected: 3, answerSeconds: 0.1 }, 3)
      receiver.reply = 'AR'
      await store(treated(writer, about(1)))
      expect(await answered(1)).toMatchObject([{ outcome: 'refused', tries: 3 }])
      receiver.reply = 'silence'
      await store(treated(writer, about(2)))
      expect((await answered(2))[1]).toMatchObject({ outcome: 'not answered', tries: 2 })
    })

    it('are not made of what was charted before the feed was opened, nor lost when charted while it was closed', async () => {
      await store(begun(writer, about(1)))
      await server.close()
      const closed = await testServer({ staff: [], address, door: 4 })
      await closed.ledger.append(HERE, {
        facts: [...given(writer, about(1)), signed(writer, about(1))],
        receivedAt: START,
        deviceAheadMs: null,
      })
      await closed.close()
      server = await open({}, 5)
      expect(await answered(1)).toMatchObject([{ outcome: 'taken' }])
      await server.close()
      server = await open({ name: 'registry' }, 6)
      await store(treated(writer, about(2)))
      expect((await answered(2)).map(({ destination }) => destination)).toEqual([NAME, 'registry'])
      expect(receiver.heard).toHaveLength(2)
    })

    if (more)
      it('are told once though two processes share the database', async () => {
        const beside = await open({}, 8)
        await Promise.all(
          [1, 2, 3, 4].map((number) =>
            (number % 2 ? server : beside).ledger.append(HERE, {
              facts: treated(new TestWriter('2026-03-10T10:00:00.000Z', 50 + number), about(number)),
              receivedAt: START,
              deviceAheadMs: null,
            }),
          ),
        )
        await answered(4)
        await beside.close()
        expect(receiver.heard).toHaveLength(4)
        expect(await composed()).toHaveLength(4)
      })
  })
}
