import { type ReplayReport, readShift, replay } from '../src/rounds/index.ts'
import { median, text } from './round-measure.ts'

const FILES = [
  'shift-01-k1-n12',
  'shift-02-k2-n36',
  'shift-03-k3-n105-overload',
  'shift-04-k5-n100',
  'shift-05-k8-n180',
  'shift-06-k12-n240',
]
const SEEDS = 5
const WARM_UP_ROUNDS = 200
const ROUNDS = { plan: 15_000, offer: 2000 }
const COLUMN = 24
const COLUMNS = [
  'realized',
  'clairvoyant',
  'times',
  'closed',
  'times but closed',
  'changes per event',
  'repair p95, ms',
].map((title) => title.padStart(COLUMN))

/** The processor time of this process, so that other work on the machine does not count. */
const cpuMs = (): number => {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}

/** Events of the shift files played against the planner: what the day cost, what was promised anew, how long repairs took. */
export async function run(): Promise<void> {
  console.log(
    `medians of ${SEEDS} seeds, in brackets the least and the most\n${'file'.padEnd(26)}${COLUMNS.join('')}`,
  )
  for (const file of FILES) {
    const { shift } = readShift(JSON.parse(text(`shifts/${file}.json`)))
    const play = (seed: number, plan: number) =>
      replay(shift, {
        seed,
        freezeMinutes: 10,
        leastGainPerChange: 5,
        planEffort: () => ({ iterations: plan }),
        offerEffort: () => ({ iterations: ROUNDS.offer }),
        now: cpuMs,
      })
    play(1, WARM_UP_ROUNDS)
    const played = Array.from({ length: SEEDS }, (_, at) => play(at + 1, ROUNDS.plan))
    const told = (of: (report: ReplayReport) => number, digits: number) => {
      const all = played.map(of)
      const [middle, least, most] = [median(all), Math.min(...all), Math.max(...all)].map((value) =>
        value.toFixed(digits),
      )
      return (least === most ? `${middle}` : `${middle} (${least} to ${most})`).padStart(COLUMN)
    }
    console.log(
      file.padEnd(26) +
        [
          told(({ realized }) => realized, 0),
          told(({ clairvoyant }) => clairvoyant, 0),
          told(({ realized, clairvoyant }) => realized / clairvoyant, 2),
          told(({ closedOnArrival }) => closedOnArrival.length, 0),
          told(({ realized, clairvoyantButClosed }) => realized / clairvoyantButClosed, 2),
          told(({ events }) => changesOf(events) / Math.max(1, events.length), 1),
          told(({ repairMs }) => repairMs.p95, 0),
        ].join(''),
    )
  }
}

const changesOf = (events: ReplayReport['events']): number =>
  events.reduce((sum, { changes, offered }) => sum + changes.length + offered.length, 0)
