import {
  changeText,
  clockText,
  type ReplayReport,
  replay as replayOf,
  type Shift,
} from '../../rounds/index.ts'
import { type Command, EXIT } from '../command.ts'
import { numberOf, onFile, seedOf, shiftIn, theFile } from './round-file.ts'

/** Points that each changed promise must earn before a better plan is taken, and minutes that stay as they are. Policy. */
const [LEAST_GAIN_PER_CHANGE, FREEZE_MINUTES] = [5, 10]
const OFFER_ROUNDS = 2000

/** Plays the events of a shift file against the planner. */
export const replay: Command = {
  name: 'replay',
  purpose: 'play the events of a shift file against the planner',
  words: 'FILE',
  help: `Plans without knowing the events, repairs at each, takes better plans that are worth it, and compares the day with a
plan that knew everything beforehand.

  --seconds S          effort for the first plan and for each plan that knew everything (default: 5)
  --seed N             (default: 1)
  --changes            every changed promise in words, with its reason
  --json               the report as JSON`,
  options: {
    seconds: { type: 'string' },
    seed: { type: 'string' },
    json: { type: 'boolean' },
    changes: { type: 'boolean' },
  },
  run: async (given, terminal) => {
    const text = await theFile(given, terminal)
    return onFile(terminal, async () => {
      const { shift } = shiftIn(text)
      const seconds = numberOf(given, 'seconds', 5)
      const report = replayOf(shift, {
        seed: seedOf(given),
        freezeMinutes: FREEZE_MINUTES,
        leastGainPerChange: LEAST_GAIN_PER_CHANGE,
        planEffort: () => ({ now: terminal.nowMs, until: terminal.nowMs() + seconds * 1000 }),
        offerEffort: () => ({ iterations: OFFER_ROUNDS }),
        now: () => performance.now(),
      })
      terminal.out(
        given.flag('json')
          ? JSON.stringify(asData(report), null, 2)
          : asText(shift, report, given.flag('changes')),
      )
      return EXIT.ok
    })
  },
}

const timesOver = (realized: number, yardstick: number): number =>
  yardstick === 0 ? 1 : realized / yardstick

const changesPerEvent = ({ events }: ReplayReport): number =>
  events.reduce((sum, { changes, offered }) => sum + changes.length + offered.length, 0) /
  Math.max(1, events.length)

function asData(report: ReplayReport) {
  const { realized, realizedParts, clairvoyant, closedOnArrival, clairvoyantButClosed, repairMs } = report
  return {
    realized,
    parts: realizedParts,
    clairvoyant,
    ratio: timesOver(realized, clairvoyant),
    closedOnArrival,
    clairvoyantButClosed,
    ratioButClosed: timesOver(realized, clairvoyantButClosed),
    changesPerEvent: changesPerEvent(report),
    repairMs,
    events: report.events,
  }
}

function asText(shift: Shift, report: ReplayReport, withChanges: boolean): string {
  const { realized, clairvoyant, closedOnArrival, clairvoyantButClosed, repairMs } = report
  const times = (yardstick: number) => `${timesOver(realized, yardstick).toFixed(3)} times`
  const ms = (value: number) => `${value.toFixed(1)} ms`
  return [
    ...report.events.flatMap(({ event, repairMs: took, changes, offered, ignored }) => [
      `${clockText(shift, event.time)}  ${event.type}  repaired in ${ms(took)}, ${changes.length} promises changed, ${offered.length} more by a better plan${ignored === null ? '' : `; nothing to do, ${ignored}`}`,
      ...(withChanges ? [...changes, ...offered].map((change) => `       ${changeText(shift, change)}`) : []),
    ]),
    `The day cost ${realized}; a plan that knew everything, ${clairvoyant} (${times(clairvoyant)}).`,
    ...closedOnArrival.map(
      ({ visit, behind, points }) =>
        `${visit} could not be given any more when it was ordered: dose ${behind} of the same patient had begun, and the minimum gap left no time (${points} points).`,
    ),
    ...(closedOnArrival.length === 0
      ? []
      : [
          `Without foresight of those, the plan that knew everything costs ${clairvoyantButClosed} (${times(clairvoyantButClosed)}).`,
        ]),
    `${changesPerEvent(report).toFixed(1)} promises changed per event. Repairs took ${ms(repairMs.p50)} (median), ${ms(repairMs.p95)} (95 %), ${ms(repairMs.most)} (longest).`,
  ].join('\n')
}
