import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { BrowserTablet, pageScript } from './browser-tablet.ts'
import { Dice } from './dice.ts'
import { FACILITY, type Hospital, openHospital, passwordOf, type StoreKind } from './hospital.ts'
import { playRound, type Round, throwRound } from './round.ts'
import { Tablet } from './tablet.ts'
import { judge, type Verdict } from './verdict.ts'

export type Torture = {
  readonly kind: StoreKind
  readonly rounds: number
  /** Throws every round and every fact; the same seed throws the same. When what happens is the machine's. */
  readonly seed: number
  readonly tell: (line: string) => void
}

const STAFF = ['amsel', 'brandt', 'celan', 'drossel', 'eider'] as const
const HOUR_MS = 3_600_000
/** How long the tablets may take to send and take what is left when all runs again [ms]. */
const SETTLE_MS = 180_000
/** How long a round waits for load before it strikes anyway [ms]. */
const LOAD_MS = 15_000

/** Kills, cuts, fills and turns clocks while tablets work; then looks whether anything acknowledged was lost. */
export async function torture({ kind, rounds, seed, tell }: Torture): Promise<Verdict> {
  const dice = new Dice(seed)
  const hospital = await openHospital(kind, STAFF)
  tell(`${kind}, seed ${seed}, ${rounds} rounds; disk: ${hospital.disk.how}`)
  const tablets = STAFF.slice(1).map((personId, at) => tabletOf(hospital, personId, seed + at))
  const words = { origin: hospital.origin, folder: hospital.folder, personId: STAFF[0] }
  const browser = new BrowserTablet({ ...words, password: passwordOf(STAFF[0]) }, await pageScript())
  const failed: unknown[] = []
  const end = async () => {
    for (const tablet of tablets) tablet.stop()
    await browser.kill()
    await hospital.close()
  }
  const told = () => void end().finally(() => process.exit(130))
  process.once('SIGINT', told)
  process.once('SIGTERM', told)
  try {
    await browser.open(seed, 0)
    const work = tablets.map((tablet) => tablet.work().catch((error) => failed.push(error)))
    for (let number = 1; number <= rounds; number += 1) {
      const round = throwRound(dice, kind)
      const inTime = setTimeout(() => tell(`round ${number} takes long: ${JSON.stringify(round)}`), 60_000)
      await underLoad(tablets, browser)
      await playRound(round, hospital, browser)
      clearTimeout(inTime)
      if (failed.length > 0) throw failed[0]
      tell(roundLine(number, round, tablets, browser))
    }
    for (const tablet of tablets) tablet.stop()
    await Promise.all(work)
    return await settleAndJudge(hospital, tablets, browser)
  } finally {
    process.off('SIGINT', told)
    process.off('SIGTERM', told)
    await end()
  }
}

/** Waits until facts are acknowledged and kept again: a blow at an idle server proves little. */
async function underLoad(tablets: readonly Tablet[], browser: BrowserTablet): Promise<void> {
  const [sent, kept] = [acknowledgedBy(tablets), browser.kept.size]
  const until = Date.now() + LOAD_MS
  while (Date.now() < until) {
    if (acknowledgedBy(tablets) > sent && browser.kept.size > kept) return
    await new Promise((resolve) => setTimeout(resolve, 20))
  }
}

const acknowledgedBy = (tablets: readonly Tablet[]) =>
  tablets.reduce((sum, tablet) => sum + tablet.acknowledged.size, 0)

/** Clocks of tablets are wrong by hours, each by its own. */
function tabletOf({ origin }: Hospital, personId: string, seed: number): Tablet {
  const dice = new Dice(seed * 7919 + 1)
  const start = dice.whole(-6, 6) * HOUR_MS
  let aheadMs = start
  const nowMs = () => {
    if (dice.chance(0.002)) aheadMs = start + dice.whole(-3, 3) * HOUR_MS
    return Date.now() + aheadMs
  }
  const device = `tablet-${personId}`
  return new Tablet({
    origin,
    facility: FACILITY,
    personId,
    device,
    password: passwordOf(personId),
    nowMs,
    dice,
  })
}

async function settleAndJudge(
  hospital: Hospital,
  tablets: readonly Tablet[],
  browser: BrowserTablet,
): Promise<Verdict> {
  const ledger = new Ledger(openDatabase(hospital.database))
  const concerning = async () =>
    (await ledger.last(FACILITY)) - (await ledger.ofKinds(FACILITY, ['message-received'])).length
  const until = Date.now() + SETTLE_MS
  try {
    await Promise.all(tablets.map((tablet) => tablet.settle(until)))
    await browser.settle(until, concerning)
    await Promise.all(tablets.map((tablet) => tablet.settle(until)))
  } finally {
    await ledger.close()
  }
  return judge(hospital, tablets, browser)
}

function roundLine(number: number, round: Round, tablets: readonly Tablet[], browser: BrowserTablet): string {
  const acknowledged = acknowledgedBy(tablets)
  const extras = [
    round.cut ? 'cut' : '',
    round.fullDisk ? 'full disk' : '',
    round.serverClockAheadMs === null ? '' : 'clock',
  ]
  const did = [...round.kill.map((what) => `kill ${what}`), ...extras.filter(Boolean)].join(', ')
  return `round ${number}: ${did}; ${acknowledged} acknowledged, ${browser.kept.size} kept by the browser`
}
