import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { LiveEvent } from '../../src/api/schemas.ts'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import { Dice } from '../torture/dice.ts'
import { FACILITY, type Hospital, openHospital, passwordOf } from '../torture/hospital.ts'
import { Tablet } from '../torture/tablet.ts'

let hospital: Hospital
let cookie: string
beforeAll(async () => {
  hospital = await openHospital('postgres', ['amsel', 'brandt'])
  const reply = await fetch(`${origin(0)}/api/sign-in`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ username: 'amsel', password: passwordOf('amsel') }),
  })
  cookie = reply.headers
    .getSetCookie()
    .map((each) => each.split(';')[0])
    .join('; ')
})
afterAll(() => hospital?.close())

const origin = (server: number) => `http://127.0.0.1:${hospital.servers[server]?.port}`

const tablet = (personId: string, at: string, seed: number) => {
  const words = { facility: FACILITY, personId, device: `tablet-${seed}`, password: passwordOf(personId) }
  return new Tablet({ ...words, origin: at, nowMs: Date.now, dice: new Dice(seed) })
}

/** Numbers told on a live line, until it is closed. */
async function listen(server: number) {
  const closing = new AbortController()
  const reply = await fetch(`${origin(server)}/api/live`, { headers: { cookie }, signal: closing.signal })
  const heard: { last: number; atMs: number }[] = []
  const read = async () => {
    const decoder = new TextDecoder()
    for await (const chunk of reply.body ?? [])
      for (const [, data] of decoder.decode(chunk).matchAll(/^data: (.*)$/gm))
        heard.push({ last: LiveEvent.parse(JSON.parse(data ?? '')).last, atMs: Date.now() })
  }
  const ended = read().catch(() => undefined)
  const close = async () => {
    closing.abort()
    await ended
  }
  return { heard, close }
}

async function until(what: string, true_: () => boolean | Promise<boolean>): Promise<void> {
  const late = Date.now() + 30_000
  while (!(await true_())) {
    if (Date.now() > late) throw new Error(`not in time: ${what}`)
    await new Promise((resolve) => setTimeout(resolve, 20))
  }
}

describe('two server processes on one PostgreSQL', () => {
  it('share a session, and a live update crosses from one to the other', async () => {
    const me = await fetch(`${origin(1)}/api/me`, { headers: { cookie } })
    expect(await me.json()).toMatchObject({ personId: 'amsel' })
    const line = await listen(1)
    await until('the first word on the line', () => line.heard.length > 0)
    const before = line.heard.at(-1)?.last ?? 0
    const writing = tablet('amsel', origin(0), 1)
    const work = writing.work()
    await until('an acknowledged fact', () => writing.acknowledged.size > 0)
    writing.stop()
    await work
    const last = Math.max(...writing.acknowledged.values())
    expect(last).toBeGreaterThan(before)
    await until('word of it from the other process', () => (line.heard.at(-1)?.last ?? 0) >= last)
    await line.close()
  })

  it('let tablets carry on when one of them is killed, and lose nothing', async () => {
    const tablets = [tablet('amsel', hospital.origin, 2), tablet('brandt', hospital.origin, 3)]
    const work = Promise.all(tablets.map((each) => each.work()))
    const sent = () => tablets.reduce((sum, each) => sum + each.acknowledged.size, 0)
    await until('work on both', () => tablets.every((each) => each.acknowledged.size > 5))
    // The one that the network leads to first, and that therefore carries everybody.
    await hospital.servers[0]?.stop('SIGKILL')
    const atKill = sent()
    await until('work on the one that is left', () => sent() > atKill + 20)
    expect(hospital.servers.map(({ running }) => running)).toEqual([false, true])
    for (const each of tablets) each.stop()
    await work
    await Promise.all(tablets.map((each) => each.settle(Date.now() + 30_000)))
    const ledger = new Ledger(openDatabase(hospital.database))
    const stored = new Map<string, number>()
    for await (const { factId, sequence } of ledger.entries(FACILITY)) {
      expect(stored.has(factId)).toBe(false)
      stored.set(factId, sequence)
    }
    for (const each of tablets)
      for (const [id, sequence] of each.acknowledged) expect(stored.get(id)).toBe(sequence)
    expect(await verifyLedger(ledger, FACILITY)).toMatchObject({ kind: 'whole', entries: stored.size })
    await ledger.close()
  })
})
