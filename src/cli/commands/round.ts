import {
  type Bound,
  compile,
  compileSolomon,
  constructed,
  type Effort,
  type Finding,
  improve,
  lowerBound,
  overloadText,
  type PricedPlan,
  parseSolomon,
  pricedState,
  readShift,
  replay,
  ShiftRefused,
  type SolomonConvention,
  solveExactly,
} from '../../rounds/index.ts'
import { type Command, EXIT, type Exit, type Given, type Terminal, UsageError } from '../command.ts'

const OPTIONS = { seconds: { type: 'string' }, seed: { type: 'string' }, json: { type: 'boolean' } } as const
/** Points below what a better plan must save to be offered in mid-shift, and minutes that stay as they are. Policy. */
const [LEAST_GAIN, FREEZE_MINUTES] = [10, 10]

/** Plans a shift, or a benchmark file of the same family of problems. */
export const round: Command = {
  name: 'round',
  purpose: 'plan a shift from a problem file',
  words: 'FILE',
  help: `FILE is a shift in the published planning format (JSON), or a Solomon text file of a routing problem.

  --seconds S          how long to improve (default: 5)
  --seed N             the same seed and effort give the same plan (default: 1)
  --bound              spend as long again on a bound that no plan can be below
  --convention C       Solomon files: dimacs (default) or sintef
  --json               routes, objective by part, what was assumed`,
  options: { ...OPTIONS, bound: { type: 'boolean' }, convention: { type: 'string' } },
  run: async (given, terminal) => {
    const text = await theFile(given, terminal)
    return text.trimStart().startsWith('{')
      ? planShift(text, given, terminal)
      : planSolomon(text, given, terminal)
  },
}

/** Plays the events of a shift file against the planner. */
export const replayShift: Command = {
  name: 'replay',
  purpose: 'play the events of a shift file against the planner',
  words: 'FILE',
  help: `Plans without knowing the events, repairs at each, takes better plans that are worth it, and compares the day with a
plan that knew everything beforehand.

  --seconds S          effort for the first plan and for the one that knew everything (default: 5)
  --seed N             (default: 1)
  --json               the report as JSON`,
  options: OPTIONS,
  run: async (given, terminal) => {
    const { shift } = shiftIn(await theFile(given, terminal))
    const seconds = numberOf(given, 'seconds', 5)
    const report = replay(shift, {
      seed: numberOf(given, 'seed', 1),
      freezeMinutes: FREEZE_MINUTES,
      leastGain: LEAST_GAIN,
      planEffort: effort(terminal, seconds),
      offerEffort: { iterations: 2000 },
      now: () => performance.now(),
    })
    const ratio = report.realized / report.clairvoyant
    if (given.flag('json')) {
      const { realized, clairvoyant, realizedParts, events } = report
      terminal.out(JSON.stringify({ realized, clairvoyant, ratio, parts: realizedParts, events }, null, 2))
      return EXIT.ok
    }
    for (const { event, repairMs, changed, offered, ignored } of report.events) {
      terminal.out(
        `${event.time} min  ${event.type}  repaired in ${repairMs.toFixed(1)} ms, ${changed} promises changed, ${offered} more by a better plan${ignored === null ? '' : `; ${ignored}`}`,
      )
    }
    terminal.out(
      `The day cost ${report.realized}; a plan that knew everything, ${report.clairvoyant} (${ratio.toFixed(3)} times).`,
    )
    return EXIT.ok
  },
}

async function theFile(given: Given, terminal: Terminal): Promise<string> {
  const [file, ...more] = given.words
  if (file === undefined || more.length > 0) throw new UsageError('one FILE is needed')
  return (await terminal.readFile(file)).toString('utf8')
}

function shiftIn(text: string): ReturnType<typeof readShift> {
  try {
    return readShift(JSON.parse(text))
  } catch (error) {
    if (error instanceof ShiftRefused)
      throw new Error(`the shift cannot be planned. ${error.findings.map(said).join('. ')}`)
    throw new UsageError(`the file is not JSON: ${error instanceof Error ? error.message : error}`)
  }
}

function said({ where, message, consequence }: Finding): string {
  return `${where}: ${message} (${consequence})`
}

function planShift(text: string, given: Given, terminal: Terminal): Exit {
  const { shift, findings } = shiftIn(text)
  const compiled = compile(shift)
  const exact = solveExactly(compiled.flat)
  const state = exact?.state ?? constructed(compiled.flat)
  const seconds = numberOf(given, 'seconds', 5)
  if (!exact?.proved) improve(state, { seed: numberOf(given, 'seed', 1), effort: effort(terminal, seconds) })
  const priced = pricedState(compiled, state)
  const proved = exact?.proved ?? false
  const found =
    !proved && given.flag('bound') ? boundOf(compiled.flat, state.routes(), seconds, terminal) : null
  const bound = proved ? priced.total : (found?.value ?? null)
  const overloads = found?.overloads.map((overload) => overloadText(shift, overload)) ?? []
  tell({ priced, proved, bound, overloads, findings }, given, terminal)
  return EXIT.ok
}

function boundOf(
  flat: ReturnType<typeof compile>['flat'],
  known: number[][],
  seconds: number,
  terminal: Terminal,
): Bound {
  const until = terminal.nowMs() + seconds * 1000
  const routes = known.map((route) => route.filter((node) => node < flat.visits))
  return lowerBound(flat, { known: routes, stop: () => terminal.nowMs() > until })
}

type Answer = {
  readonly priced: PricedPlan
  readonly proved: boolean
  readonly bound: number | null
  readonly overloads: readonly string[]
  readonly findings: readonly Finding[]
}

function tell(
  { priced, proved, bound, overloads, findings }: Answer,
  given: Given,
  terminal: Terminal,
): void {
  const { plan, total, parts, dropped, lateMinutes, schedule } = priced
  if (given.flag('json')) {
    terminal.out(
      JSON.stringify(
        {
          routes: plan.routes,
          total,
          parts,
          dropped,
          lateMinutes,
          bound,
          proved,
          overloads,
          assumed: findings,
        },
        null,
        2,
      ),
    )
    return
  }
  for (const finding of findings) terminal.out(`Assumed: ${said(finding)}`)
  for (const overload of overloads) terminal.out(overload)
  for (const { therapist, stops, load } of schedule) {
    terminal.out(
      `${therapist} (${load} min): ${stops.map(({ visit, start }) => `${start} ${visit ?? 'break'}`).join(', ')}`,
    )
  }
  if (dropped.length > 0) terminal.out(`Not given: ${dropped.join(', ')}`)
  const how = proved
    ? 'proved best possible'
    : bound === null
      ? 'no bound asked for'
      : `no plan is below ${bound}: at most ${(((total - bound) / total) * 100).toFixed(1)} % from the best possible`
  terminal.out(
    `Objective ${total} (${Object.entries(parts)
      .map(([name, value]) => `${name} ${value}`)
      .join(', ')}); ${how}.`,
  )
}

function planSolomon(text: string, given: Given, terminal: Terminal): Exit {
  const convention = given.text('convention') ?? 'dimacs'
  if (convention !== 'dimacs' && convention !== 'sintef')
    throw new UsageError('--convention is dimacs or sintef')
  const flat = compileSolomon(parseSolomon(text), convention satisfies SolomonConvention)
  const state = constructed(flat)
  improve(state, {
    seed: numberOf(given, 'seed', 1),
    effort: effort(terminal, numberOf(given, 'seconds', 5)),
  })
  const scale = convention === 'dimacs' ? 10 : 10_000
  const routes = state
    .routes()
    .map((route) => route.filter((node) => node < flat.visits).map((node) => node + 1))
    .filter((route) => route.length > 0)
  const distance = state.cost() / scale
  if (given.flag('json'))
    terminal.out(JSON.stringify({ convention, distance, vehicles: routes.length, routes }, null, 2))
  else
    terminal.out(
      [
        ...routes.map((route, index) => `Route #${index + 1}: ${route.join(' ')}`),
        `Distance ${distance}, ${routes.length} vehicles, ${convention} convention`,
      ].join('\n'),
    )
  return EXIT.ok
}

function effort(terminal: Terminal, seconds: number): Effort {
  return { now: terminal.nowMs, until: terminal.nowMs() + seconds * 1000 }
}

function numberOf(given: Given, name: string, otherwise: number): number {
  const text = given.text(name)
  if (text === undefined) return otherwise
  const value = Number(text)
  if (!(value >= 0 && Number.isFinite(value))) throw new UsageError(`--${name} must be a number from 0`)
  return value
}
