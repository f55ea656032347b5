import { connect } from 'node:net'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { Dice } from '../torture/dice.ts'
import { FACILITY, type Hospital, openHospital, passwordOf } from '../torture/hospital.ts'
import { Tablet } from '../torture/tablet.ts'

let hospital: Hospital
beforeAll(async () => {
  hospital = await openHospital('sqlite', ['amsel', 'brandt'])
}, 60_000)
afterAll(() => hospital?.close())

/** Long past what closing takes; a connection that is left to itself is held open for more than a minute. */
const LIMIT_MS = 30_000

it('a server that is told to stop ends open lines and idle connections, answers what it has begun, and loses nothing', async () => {
  const [server] = hospital.servers
  if (!server) throw new Error('there is no server')
  const origin = `http://127.0.0.1:${server.port}`
  const signedIn = await fetch(`${origin}/api/sign-in`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ username: 'amsel', password: passwordOf('amsel') }),
  })
  const cookie = signedIn.headers
    .getSetCookie()
    .map((each) => each.split(';')[0])
    .join('; ')
  const live = await fetch(`${origin}/api/live`, { headers: { cookie } })
  const line = live.text()
  // Browsers open connections that they may never use.
  const unused = connect(server.port, '127.0.0.1')
  const unusedEnded = new Promise((resolve) => unused.once('close', resolve))
  const dice = new Dice(5)
  const words = {
    origin,
    facility: FACILITY,
    personId: 'brandt',
    device: 'tablet-1',
    password: passwordOf('brandt'),
  }
  const tablet = new Tablet({ ...words, nowMs: Date.now, dice })
  const work = tablet.work()
  while (tablet.acknowledged.size < 20) await new Promise((resolve) => setTimeout(resolve, 20))
  const late = new Promise((_, reject) =>
    setTimeout(() => reject(new Error('it did not stop in time')), LIMIT_MS).unref(),
  )
  expect(await Promise.race([server.stop('SIGTERM'), late])).toBe(0)
  await unusedEnded
  expect(await line).toContain('event: ledger')
  tablet.stop()
  await work
  const ledger = new Ledger(openDatabase(hospital.database))
  for (const [id, sequence] of tablet.acknowledged)
    expect((await ledger.entryOfFact(FACILITY, id))?.sequence).toBe(sequence)
  await ledger.close()
}, 120_000)
