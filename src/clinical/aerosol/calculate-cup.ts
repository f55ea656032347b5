import { z } from 'zod'
import { requireWithin } from '../worked.ts'
import { answering, answersFrom, each, type Figured, figured, oneOrMore, shown } from './answers.ts'
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

/** A figure of the run for every fill and flow that is given, each with the run in words and the figure's own sum. */
function overRuns(
  input: Fields,
  of: (run: CupRun, fillMl: number) => { readonly value: number; readonly sum: string },
): Figured {
  const { fill_mL = 4, Q_Lmin = 8 } = input
  const made = each(fill_mL).flatMap((fill) =>
    each(Q_Lmin).map((flow) => {
      const run = runWith(input, fill, flow)
      return { ...of(run, fill), run: runStep(run, fill, flow) }
    }),
  )
  const single = typeof fill_mL === 'number' && typeof Q_Lmin === 'number'
  const values = made.map(({ value }) => value)
  return figured(single ? (values[0] ?? Number.NaN) : values, ...made.flatMap(({ run, sum }) => [run, sum]))
}

/** What one run comes to; followed minute by minute, so that no single line of arithmetic gives it. */
function runStep(run: CupRun, fillMl: number, flowLPerMin: number): string {
  const minutes = shown(run.endS / 60)
  return `${fillMl} mL at ${flowLPerMin} L/min, balance of water, medicine and heat followed to the end after ${minutes} min: ${shown(run.dropletG)} g left as droplets, ${shown(run.vaporG)} g as vapor, ${shown(run.leftG)} g stayed; coolest ${shown(run.coolestCel)} Cel`
}

function closed({ V0_mL, V_mL, f_vapor }: { V0_mL: number; V_mL: number; f_vapor: number }) {
  requireWithin('V0_mL', V0_mL, { low: 0.01, high: 1000, unit: 'mL' })
  requireWithin('V_mL', V_mL, { low: 0.001, high: V0_mL, unit: 'mL' })
  requireWithin('f_vapor', f_vapor, { low: 0, high: 1, unit: '1' })
  return constantVaporShare(V0_mL, V_mL, f_vapor)
}

/** Water and medicine that do not add up, relative: the largest over fills and flows of a jet. */
function imbalance(): Figured {
  const runs = [2, 3, 4, 6].flatMap((fill) =>
    [4, 6, 8, 12].map((flow) => ({ fill, run: runWith({}, fill, flow) })),
  )
  const off = ({ fill, run }: (typeof runs)[number]) =>
    Math.abs((run.leftG + run.vaporG + run.dropletG) / fill - 1)
  const worst = runs.reduce((a, b) => (off(b) > off(a) ? b : a))
  const { leftG, vaporG, dropletG } = worst.run
  return figured(
    off(worst),
    `of ${runs.length} runs the largest: ${shown(leftG)} + ${shown(vaporG)} + ${shown(dropletG)} g against ${worst.fill} g at the start, off by ${shown(off(worst))} of it`,
  )
}

/** By what part of its time a run changes with the flow, both flows as the wording says them. */
function runTimeRatio(input: Fields, wording: string): Figured {
  const [over = Number.NaN, under = Number.NaN] = (wording.match(/[\d.]+(?= L)/g) ?? []).map(Number)
  const fill = typeof input.fill_mL === 'number' ? input.fill_mL : 4
  const [a, b] = [runWith(input, fill, over), runWith(input, fill, under)]
  return figured(
    a.endS / b.endS,
    runStep(a, fill, over),
    runStep(b, fill, under),
    `${shown(a.endS / 60)} min ÷ ${shown(b.endS / 60)} min = ${shown(a.endS / b.endS)}`,
  )
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
      value: (input) => {
        const { concentrationRatio } = closed(input)
        const { V0_mL, V_mL, f_vapor } = input
        return figured(concentrationRatio, `(${V0_mL} ÷ ${V_mL})^${f_vapor} = ${shown(concentrationRatio)}`)
      },
      sources: [BALANCE],
    }),
    answer({
      name: 'share of the drug that left the cup',
      asked: /^share of the drug(?! released)/,
      unit: '1',
      needs: ['V0_mL', 'V_mL', 'f_vapor'],
      value: (input) => {
        const { drugOut } = closed(input)
        const { V0_mL, V_mL, f_vapor } = input
        return figured(drugOut, `1 − (${V_mL} ÷ ${V0_mL})^(1 − ${f_vapor}) = ${shown(drugOut)}`)
      },
      sources: [BALANCE],
    }),
    answer({
      name: 'fall of solution temperature',
      asked: /^fall of solution temperature/,
      unit: 'Cel',
      needs: ['fill_mL', 'Q_Lmin'],
      value: (input) =>
        overRuns(input, ({ coolestCel }) => {
          const { T_room_degC: room = 22 } = input
          const value = room - coolestCel
          return { value, sum: `${room} − ${shown(coolestCel)} = ${shown(value)} degrees` }
        }),
      sources: runSources,
    }),
    answer({
      name: 'aerosol share of total mass loss',
      asked: /^(aerosol|droplet) share/,
      unit: '1',
      needs: ['fill_mL', 'Q_Lmin'],
      value: (input) =>
        overRuns(input, ({ dropletG, leftG }, fill) => {
          const value = dropletG / (fill - leftG)
          return { value, sum: `${shown(dropletG)} g ÷ (${fill} − ${shown(leftG)}) g = ${shown(value)}` }
        }),
      sources: [...runSources, DENNIS_1990],
    }),
    answer({
      name: 'share of the fill released',
      asked: /^share of (a|the) ([\d.]+ mL )?fill released/,
      unit: '1',
      needs: ['fill_mL', 'Q_Lmin'],
      value: (input) =>
        overRuns(input, ({ leftG }, fill) => {
          const value = 1 - leftG / fill
          return { value, sum: `1 − ${shown(leftG)} g ÷ ${fill} g = ${shown(value)}` }
        }),
      sources: runSources,
    }),
    answer({
      name: 'medicine released',
      asked: /^(share of the )?(medicine|drug) released/,
      unit: '1',
      needs: ['fill_mL', 'Q_Lmin'],
      value: (input) =>
        overRuns(input, ({ drugLeft }) => {
          const value = 1 - drugLeft
          return { value, sum: `1 − ${shown(drugLeft)} of the medicine left = ${shown(value)}` }
        }),
      sources: runSources,
    }),
    answer({
      name: 'run time',
      asked: /^run time$|^time, /,
      unit: 'min',
      needs: ['fill_mL', 'Q_Lmin'],
      value: (input) =>
        overRuns(input, ({ endS }) => {
          const value = endS / 60
          return { value, sum: `${shown(endS)} s ÷ 60 = ${shown(value)} min` }
        }),
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
      value: () => figured(JET.halvingS, `published as within 20 s; ${JET.halvingS} s is taken`),
      sources: [MALONE_1993],
    }),
    answer({
      name: 'residual volume default',
      asked: /^residual volume|^volume left/,
      unit: 'mL',
      needs: [],
      value: () => {
        const run = runWith({}, 4, 8)
        const { leftG } = run
        return figured(leftG, runStep(run, 4, 8), `${shown(leftG)} g are ${shown(leftG)} mL`)
      },
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
