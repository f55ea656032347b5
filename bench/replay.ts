import { readShift, replay } from '../src/rounds/index.ts'
import { text } from './round-measure.ts'

const FILES = [
  'shift-01-k1-n12',
  'shift-02-k2-n36',
  'shift-03-k3-n105-overload',
  'shift-04-k5-n100',
  'shift-05-k8-n180',
  'shift-06-k12-n240',
]
const WARM_UP = 1
const ROUNDS = { plan: 15_000, offer: 2000 }

/** The processor time of this process, so that other work on the machine does not count. */
const cpuMs = (): number => {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}

/** Events of the shift files played against the planner: what the day cost, what was promised anew, how long repairs took. */
export async function run(): Promise<void> {
  console.log(
    'file                        realized  clairvoyant  times  closed  times but closed  changes/event  repair ms of processor p50/p95/most',
  )
  for (const file of FILES) {
    const { shift } = readShift(JSON.parse(text(`shifts/${file}.json`)))
    const play = (plan: number) =>
      replay(shift, {
        seed: 1,
        freezeMinutes: 10,
        leastGainPerChange: 5,
        planEffort: () => ({ iterations: plan }),
        offerEffort: () => ({ iterations: ROUNDS.offer }),
        now: cpuMs,
      })
    for (let i = 0; i < WARM_UP; i++) play(200)
    const { realized, clairvoyant, clairvoyantButClosed, closedOnArrival, events, repairMs } = play(
      ROUNDS.plan,
    )
    const changes = events.reduce((sum, item) => sum + item.changes.length + item.offered.length, 0)
    console.log(
      [
        file.padEnd(26),
        String(realized).padStart(9),
        String(clairvoyant).padStart(12),
        (realized / clairvoyant).toFixed(3).padStart(6),
        String(closedOnArrival.length).padStart(7),
        (realized / clairvoyantButClosed).toFixed(3).padStart(17),
        (changes / Math.max(1, events.length)).toFixed(1).padStart(14),
        `${[repairMs.p50, repairMs.p95, repairMs.most].map((ms) => ms.toFixed(0)).join(' / ')}`.padStart(20),
      ].join(' '),
    )
  }
}
