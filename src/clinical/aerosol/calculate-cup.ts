import { z } from 'zod'
import { requireWithin } from '../worked.ts'
import { answering, answersFrom, forEach, oneOrMore } from './answers.ts'
import { type CupRun, constantVaporShare, runCup } from './cup.ts'
import { JET } from './cup-kinds.ts'
import { checkSetup } from './setup.ts'
import { setupOf } from './setup-fields.ts'
import { AEROSOL_SOURCES } from './sources.ts'

const {
  BALANCE,
  CLAY_LANCET_1983,
  DENNIS_1990,
  MALONE_1993,
  KLEINSTREUER_2014,
  USUAL_FIGURES,
  SONNTAG_1990,
} = AEROSOL_SOURCES
const number = z.number().optional()

const fields = {
  V0_mL: number,
  V_mL: number,
  f_vapor: number,
  fill_mL: oneOrMore.optional(),
  /** `same`: the same fill in both runs that are compared, 4 mL. */
  fill: z.literal('same').optional(),
  Q_Lmin: oneOrMore.optional(),
  RH_in: number,
  T_room_degC: number,
  P_Pa: number,
  gas: z.string().optional(),
  /** The only set that is carried, and the only kind that it is for. */
  type: z.literal('disposable jet, defaults').optional(),
  kind: z.literal('jet').optional(),
  any: z.boolean().optional(),
}
const answer = answersFrom(fields)
type Fields = z.infer<z.ZodObject<typeof fields>>

/** The default jet, run with one fill and one flow. */
function runWith(input: Fields, fillMl: number, flowLPerMin: number): CupRun {
  const { RH_in, T_room_degC, P_Pa, gas } = input
  const setup = setupOf({ fill_mL: fillMl, Q_Lmin: flowLPerMin, RH_in, T_room_degC, P_Pa, gas })
  return runCup(JET, checkSetup(setup).conditions)
}

/** A figure of the run for every fill and flow that is given; one of the two may be a list. */
function overRuns(input: Fields, f: (run: CupRun, fillMl: number) => number): number | readonly number[] {
  const { fill_mL = 4, Q_Lmin = 8 } = input
  if (typeof fill_mL === 'number') return forEach(Q_Lmin, (flow) => f(runWith(input, fill_mL, flow), fill_mL))
  if (typeof Q_Lmin === 'number') return forEach(fill_mL, (fill) => f(runWith(input, fill, Q_Lmin), fill))
  return fill_mL.flatMap((fill) => Q_Lmin.map((flow) => f(runWith(input, fill, flow), fill)))
}

function closed({ V0_mL, V_mL, f_vapor }: { V0_mL: number; V_mL: number; f_vapor: number }) {
  requireWithin('V0_mL', V0_mL, { low: 0.01, high: 1000, unit: 'mL' })
  requireWithin('V_mL', V_mL, { low: 0.001, high: V0_mL, unit: 'mL' })
  requireWithin('f_vapor', f_vapor, { low: 0, high: 1, unit: '1' })
  return constantVaporShare(V0_mL, V_mL, f_vapor)
}

/** Water and medicine that do not add up, relative: the largest over fills and flows of a jet. */
function imbalance(): number {
  const runs = [2, 3, 4, 6].flatMap((fill) =>
    [4, 6, 8, 12].map((flow) => ({ fill, run: runWith({}, fill, flow) })),
  )
  return Math.max(
    ...runs.map(({ fill, run }) => Math.abs((run.leftG + run.vaporG + run.dropletG) / fill - 1)),
  )
}

/** By what part of its time a run changes with the flow, both flows as the wording says them. */
function runTimeRatio(input: Fields, wording: string): number {
  const [over = Number.NaN, under = Number.NaN] = (wording.match(/[\d.]+(?= L)/g) ?? []).map(Number)
  const fill = typeof input.fill_mL === 'number' ? input.fill_mL : 4
  return runWith(input, fill, over).endS / runWith(input, fill, under).endS
}

const runSources = [BALANCE, SONNTAG_1990, USUAL_FIGURES, CLAY_LANCET_1983]

/** The cup alone: run time, cooling, what leaves and how strong the rest gets. */
export const cup = answering({
  name: 'cup',
  purpose: 'A jet cup: closed form of its concentration, and the full balance of water, medicine and heat.',
  fields,
  answers: [
    answer({
      name: 'concentration ratio',
      asked: /^concentration ratio/,
      unit: '1',
      needs: ['V0_mL', 'V_mL', 'f_vapor'],
      value: (input) => closed(input).concentrationRatio,
      sources: [BALANCE],
    }),
    answer({
      name: 'share of the drug that left the cup',
      asked: /^share of the drug(?! released)/,
      unit: '1',
      needs: ['V0_mL', 'V_mL', 'f_vapor'],
      value: (input) => closed(input).drugOut,
      sources: [BALANCE],
    }),
    answer({
      name: 'fall of solution temperature',
      asked: /^fall of solution temperature/,
      unit: 'Cel',
      needs: ['fill_mL', 'Q_Lmin'],
      value: (input) => overRuns(input, (run) => (input.T_room_degC ?? 22) - run.coolestCel),
      sources: runSources,
    }),
    answer({
      name: 'aerosol share of total mass loss',
      asked: /^(aerosol|droplet) share/,
      unit: '1',
      needs: ['fill_mL', 'Q_Lmin'],
      value: (input) => overRuns(input, (run, fill) => run.dropletG / (fill - run.leftG)),
      sources: [...runSources, DENNIS_1990],
    }),
    answer({
      name: 'share of the fill released',
      asked: /^share of (a|the) ([\d.]+ mL )?fill released/,
      unit: '1',
      needs: ['fill_mL', 'Q_Lmin'],
      value: (input) => overRuns(input, (run, fill) => 1 - run.leftG / fill),
      sources: runSources,
    }),
    answer({
      name: 'medicine released',
      asked: /^(share of the )?(medicine|drug) released/,
      unit: '1',
      needs: ['fill_mL', 'Q_Lmin'],
      value: (input) => overRuns(input, (run) => 1 - run.drugLeft),
      sources: runSources,
    }),
    answer({
      name: 'run time',
      asked: /^run time$|^time, /,
      unit: 'min',
      needs: ['fill_mL', 'Q_Lmin'],
      value: (input) => overRuns(input, (run) => run.endS / 60),
      sources: runSources,
    }),
    // The two steps of flow that were published; any other pair can be asked for in the same words.
    ...[
      [6, 4],
      [8, 6],
    ].map(([over, under]) =>
      answer({
        name: `run time at ${over} L/min / run time at ${under} L/min`,
        asked: /^run time at ([\d.]+) L\/min \/ run time at ([\d.]+) L\/min/,
        unit: '1',
        needs: [],
        value: runTimeRatio,
        sources: runSources,
      }),
    ),
    answer({
      name: 'time for droplet output to halve after first sputter',
      asked: /^time for droplet output to halve/,
      unit: 's',
      needs: [],
      value: () => JET.halvingS,
      sources: [MALONE_1993],
    }),
    answer({
      name: 'residual volume default',
      asked: /^residual volume|^volume left/,
      unit: 'mL',
      needs: [],
      value: () => runWith({}, 4, 8).leftG,
      sources: [KLEINSTREUER_2014, BALANCE],
    }),
    answer({
      name: 'conservation',
      asked: /^conservation/,
      unit: '1',
      needs: [],
      value: imbalance,
      sources: [BALANCE],
    }),
  ],
})
