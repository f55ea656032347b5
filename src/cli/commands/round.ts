import {
  clockText,
  type Effort,
  overloadText,
  type PlannedShift,
  parseSolomon,
  planShift,
  planSolomon,
  type SolomonConvention,
} from '../../rounds/index.ts'
import { type Command, EXIT, type Exit, type Given, type Terminal, UsageError } from '../command.ts'
import { findingText, jsonIn, numberOf, onFile, seedOf, theFile } from './round-file.ts'

/** Plans a shift, or a benchmark file of the same family of problems. */
export const round: Command = {
  name: 'round',
  purpose: 'plan a shift from a problem file',
  words: 'FILE',
  help: `FILE is a shift in the published planning format (JSON), or a Solomon text file of a routing problem.

  --seconds S          how long to improve (default: 5)
  --seed N             where the search begins (default: 1)
  --bound              spend as long again on a bound that no plan can be below
  --convention C       Solomon files: dimacs (default) or sintef
  --json               routes, objective by part, bound, whether proved, what was assumed

docs/rounds.md describes the format.`,
  options: {
    seconds: { type: 'string' },
    seed: { type: 'string' },
    json: { type: 'boolean' },
    bound: { type: 'boolean' },
    convention: { type: 'string' },
  },
  run: async (given, terminal) => {
    const text = await theFile(given, terminal)
    return onFile(terminal, async () =>
      text.trimStart().startsWith('{')
        ? shiftPlan(text, given, terminal)
        : solomonPlan(text, given, terminal),
    )
  },
}

function shiftPlan(text: string, given: Given, terminal: Terminal): Exit {
  if (given.text('convention') !== undefined)
    throw new UsageError('--convention is for Solomon files, and this is a shift')
  const seconds = numberOf(given, 'seconds', 5)
  const planned = planShift(jsonIn(text), {
    seed: seedOf(given),
    effort: effort(terminal, seconds),
    ...(given.flag('bound') ? { stopBound: stopAfter(terminal, seconds) } : {}),
  })
  terminal.out(given.flag('json') ? JSON.stringify(asData(planned), null, 2) : asText(planned))
  return EXIT.ok
}

/** True from so many seconds after it was first asked. */
function stopAfter(terminal: Terminal, seconds: number): () => boolean {
  let until: number | null = null
  return () => {
    until ??= terminal.nowMs() + seconds * 1000
    return terminal.nowMs() > until
  }
}

function asData({ shift, findings, priced, bound, proved, gapAtMost, overloads }: PlannedShift) {
  return {
    routes: priced.plan.routes,
    total: priced.total,
    parts: priced.parts,
    dropped: priced.dropped,
    lateMinutes: priced.lateMinutes,
    bound,
    proved,
    atMostPercentFromBest: percentUp(gapAtMost),
    overloads: overloads.map((overload) => overloadText(shift, overload)),
    assumed: findings,
  }
}

function asText({ shift, findings, priced, bound, proved, gapAtMost, overloads }: PlannedShift): string {
  const { total, parts, dropped, lateMinutes, schedule } = priced
  const clock = (minute: number) => clockText(shift, minute)
  return [
    ...findings.map((finding) => `Assumed: ${findingText(finding)}`),
    ...overloads.map((overload) => overloadText(shift, overload)),
    ...schedule.map(
      ({ therapist, stops, load }) =>
        `${therapist} (${load} min): ${stops.map(({ visit, start }) => `${clock(start)} ${visit ?? 'break'}`).join(', ')}`,
    ),
    dropped.length === 0 ? 'Every visit is given.' : `Not given: ${dropped.join(', ')}.`,
    `Late by ${lateMinutes} minutes in all.`,
    `Objective ${total}: ${Object.entries(parts)
      .map(([name, value]) => `${name} ${value}`)
      .join(', ')}.`,
    proved
      ? 'Proved best possible.'
      : `No plan is below ${bound}: this one is at most ${percentUp(gapAtMost)} % from the best possible.`,
  ].join('\n')
}

/** A share as percent, rounded up, so that "at most" stays true. */
const percentUp = (share: number): number => Math.ceil(share * 1000 - 1e-9) / 10

function solomonPlan(text: string, given: Given, terminal: Terminal): Exit {
  const convention = given.text('convention') ?? 'dimacs'
  if (convention !== 'dimacs' && convention !== 'sintef')
    throw new UsageError('--convention is dimacs or sintef')
  if (given.flag('bound')) throw new UsageError('--bound is for shifts, and this is a Solomon file')
  const { routes, vehicles, distance, unserved } = planSolomon(
    parseSolomon(text),
    convention satisfies SolomonConvention,
    { seed: seedOf(given), effort: effort(terminal, numberOf(given, 'seconds', 5)) },
  )
  if (given.flag('json')) {
    terminal.out(JSON.stringify({ convention, distance, vehicles, routes, unserved }, null, 2))
    return unserved.length === 0 ? EXIT.ok : EXIT.no
  }
  terminal.out(
    [
      ...routes.map((route, index) => `Route #${index + 1}: ${route.join(' ')}`),
      ...(unserved.length === 0 ? [] : [`Not served: ${unserved.join(' ')}`]),
      `Distance ${convention === 'dimacs' ? distance.toFixed(1) : distance.toFixed(2)}, ${vehicles} vehicles, ${convention} convention`,
    ].join('\n'),
  )
  return unserved.length === 0 ? EXIT.ok : EXIT.no
}

function effort(terminal: Terminal, seconds: number): Effort {
  return { now: terminal.nowMs, until: terminal.nowMs() + seconds * 1000 }
}
