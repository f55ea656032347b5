import type { BrowserTablet } from './browser-tablet.ts'
import type { Dice } from './dice.ts'
import type { Hospital, StoreKind } from './hospital.ts'

/** What is done to a hospital in one round, all of it thrown beforehand by the dice of the round. */
export type Round = {
  readonly kill: readonly ('server' | 'browser' | 'postgres')[]
  /** Which of several servers. */
  readonly server: number
  readonly afterMs: number
  readonly downMs: number
  /** The network is cut when so long has gone by, for so long; null: not in this round. */
  readonly cut: { readonly afterMs: number; readonly forMs: number } | null
  readonly fullDisk: boolean
  readonly serverClockAheadMs: number | null
  readonly browserClockAheadMs: number
  readonly browserSeed: number
}

const MINUTE_MS = 60_000
const HOUR_MS = 60 * MINUTE_MS
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))

export function throwRound(dice: Dice, kind: StoreKind): Round {
  const kill: Round['kill'] = dice.pick(
    kind === 'sqlite'
      ? ([['server'], ['server'], ['browser'], ['server', 'browser']] as const)
      : ([['server'], ['browser'], ['postgres'], ['postgres', 'server'], ['server', 'browser']] as const),
  )
  return {
    kill,
    server: dice.whole(0, 1),
    afterMs: dice.whole(100, 1200),
    downMs: dice.whole(0, 500),
    cut: dice.chance(0.3) ? { afterMs: dice.whole(0, 700), forMs: dice.whole(100, 900) } : null,
    fullDisk: dice.chance(0.15),
    serverClockAheadMs: dice.chance(0.3) ? dice.whole(-40, 40) * MINUTE_MS : null,
    browserClockAheadMs: dice.chance(0.4) ? dice.whole(-5, 5) * HOUR_MS : 0,
    browserSeed: dice.whole(1, 2 ** 31),
  }
}

/** Plays a round while tablets are at work; everything runs again afterwards. */
export async function playRound(round: Round, hospital: Hospital, browser: BrowserTablet): Promise<void> {
  const { servers, postgres, relay, disk } = hospital
  if (round.serverClockAheadMs !== null)
    for (const server of servers) server.setClockAhead(round.serverClockAheadMs)
  if (round.fullDisk) disk.fill([...servers.map(({ pid }) => pid), postgres?.pid ?? 0])
  const cut = round.cut ? cutNetwork(hospital, round.cut) : Promise.resolve()
  await pause(round.afterMs)
  const server = servers[round.server % servers.length]
  for (const what of round.kill) {
    if (what === 'server') await server?.stop('SIGKILL')
    else if (what === 'postgres') await postgres?.stop('SIGKILL')
    else await browser.kill()
  }
  await pause(round.downMs)
  if (round.fullDisk) disk.free()
  await cut
  await raise(hospital)
  relay.leadTo(servers.map(({ port }) => port))
  if (round.kill.includes('browser')) await browser.open(round.browserSeed, round.browserClockAheadMs)
}

async function cutNetwork({ relay }: Hospital, cut: NonNullable<Round['cut']>): Promise<void> {
  await pause(cut.afterMs)
  relay.cut()
  await pause(cut.forMs)
  relay.mend()
}

/** Starts what does not run: what was killed, and what a full disk brought down. */
async function raise({ servers, postgres }: Hospital): Promise<void> {
  if (postgres) await again(postgres)
  for (const server of servers) await again(server)
}

type Startable = { readonly running: boolean; readonly start: () => Promise<void> }

/** What was killed may still be letting go of its memory or its port: a few tries are fair. */
async function again(what: Startable): Promise<void> {
  for (let tries = 1; !what.running; tries += 1) {
    try {
      await what.start()
    } catch (error) {
      if (tries >= 8) throw error
      await pause(250 * tries)
    }
  }
}
