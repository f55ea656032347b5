import { z } from 'zod'
import { answering, answersFrom, figured, shown } from './answers.ts'
import {
  countMedianUm,
  type Droplets,
  diameterAt,
  jetDroplets,
  massShareBelow,
  sizeByFlow,
} from './droplets.ts'
import { AEROSOL_SOURCES } from './sources.ts'

const { HATCH_CHOATE, ABRAMOWITZ_STEGUN, CLAY_THORAX_1983, USUAL_FIGURES } = AEROSOL_SOURCES
const number = z.number().optional()
const sizeFields = { MMAD_um: number, MMD_um: number, GSD: number, d_um: number }
const fields = { ...sizeFields, Q_Lmin: number }
const answer = answersFrom(fields)
const sizeAnswer = answersFrom(sizeFields)

/** How a share below a size comes about. */
function belowStep(of: Droplets, um: number): string {
  const z = Math.log(um / of.mmadUm) / Math.log(of.gsd)
  return `below ${um} um: z = ln(${um} ÷ ${of.mmadUm}) ÷ ln ${of.gsd} = ${shown(z)}, normal below it ${shown(massShareBelow(of, um))}`
}

/** What median and spread say of the sizes. */
export const SIZE_ANSWERS = [
  sizeAnswer({
    name: 'fine-particle fraction < 5 um',
    asked: /^fine-particle fraction|^mass share below/,
    unit: '1',
    needs: ['MMAD_um', 'GSD'],
    value: ({ MMAD_um, GSD, d_um }, wording) => {
      const told = Number(wording.match(/([\d.]+) um/)?.[1] ?? 5)
      const of = { mmadUm: MMAD_um, gsd: GSD }
      return figured(massShareBelow(of, d_um ?? told), belowStep(of, d_um ?? told))
    },
    sources: [HATCH_CHOATE, ABRAMOWITZ_STEGUN],
  }),
  sizeAnswer({
    name: 'mass share in 1-5 um',
    asked: /^mass share (in|of|from|between) [\d.]+(-| to | and )[\d.]+ um/,
    unit: '1',
    needs: ['MMAD_um', 'GSD'],
    value: ({ MMAD_um, GSD }, wording) => {
      const [low = Number.NaN, high = Number.NaN] = (wording.match(/[\d.]+/g) ?? []).map(Number)
      const of = { mmadUm: MMAD_um, gsd: GSD }
      const [most, least] = [massShareBelow(of, high), massShareBelow(of, low)]
      const step = `${shown(most)} − ${shown(least)} = ${shown(most - least)}`
      return figured(most - least, belowStep(of, high), belowStep(of, low), step)
    },
    sources: [HATCH_CHOATE, ABRAMOWITZ_STEGUN],
  }),
  sizeAnswer({
    name: 'count median diameter',
    asked: /^count median/,
    unit: 'um',
    needs: ['MMD_um', 'GSD'],
    value: ({ MMD_um, GSD }) => {
      const um = countMedianUm({ mmadUm: MMD_um, gsd: GSD })
      return figured(um, `${MMD_um} um × e^(−3 × (ln ${GSD})²) = ${shown(um)} um`)
    },
    sources: [HATCH_CHOATE],
  }),
  sizeAnswer({
    name: '16th and 84th mass percentiles',
    asked: /^16th and 84th/,
    unit: 'um',
    needs: ['MMAD_um', 'GSD'],
    value: ({ MMAD_um, GSD }) => {
      const [low, high] = [-1, 1].map((z) => diameterAt({ mmadUm: MMAD_um, gsd: GSD }, z)) as [number, number]
      const steps = [`${MMAD_um} ÷ ${GSD} = ${shown(low)} um`, `${MMAD_um} × ${GSD} = ${shown(high)} um`]
      return figured([low, high], ...steps)
    },
    sources: [HATCH_CHOATE],
  }),
]

const flowStep = (flow: number) =>
  `at ${flow} L/min against 8: (8 ÷ ${flow})${flow > 8 ? '^0.7' : ''} = ${shown(sizeByFlow(flow))}`

/** Sizes of droplets: a lognormal of mass. */
export const droplets = answering({
  name: 'droplets',
  purpose:
    'Lognormal droplets: share of the mass below a size, count median [um], percentiles [um], median by flow.',
  fields,
  answers: [
    ...SIZE_ANSWERS,
    answer({
      name: 'mass median by flow',
      asked: /^mass median by flow/,
      unit: 'um',
      needs: ['Q_Lmin'],
      value: ({ Q_Lmin }) => {
        const { low, likely, high } = jetDroplets(Q_Lmin).mmadUm
        return figured(
          likely,
          flowStep(Q_Lmin),
          `${shown(likely / sizeByFlow(Q_Lmin))} um at 8 L/min × ${shown(sizeByFlow(Q_Lmin))} = ${shown(likely)} um, by make ${shown(low)} to ${shown(high)} um`,
        )
      },
      sources: [CLAY_THORAX_1983, USUAL_FIGURES],
    }),
    answer({
      name: 'mass median at 8 L/min / at 4 L/min',
      asked: /^mass median at [\d.]+ L\/min \/ at [\d.]+ L\/min/,
      unit: '1',
      needs: [],
      value: (_, wording) => {
        const [over = Number.NaN, under = Number.NaN] = (wording.match(/[\d.]+(?= L)/g) ?? []).map(Number)
        const ratio = sizeByFlow(over) / sizeByFlow(under)
        const step = `${shown(sizeByFlow(over))} ÷ ${shown(sizeByFlow(under))} = ${shown(ratio)}`
        return figured(ratio, flowStep(over), flowStep(under), step)
      },
      sources: [CLAY_THORAX_1983, USUAL_FIGURES],
    }),
  ],
})
