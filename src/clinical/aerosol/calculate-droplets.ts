import { z } from 'zod'
import { answering, answersFrom } from './answers.ts'
import { countMedianUm, diameterAt, jetDroplets, massShareBelow, sizeByFlow } from './droplets.ts'
import { AEROSOL_SOURCES } from './sources.ts'

const { HATCH_CHOATE, ABRAMOWITZ_STEGUN, CLAY_THORAX_1983, USUAL_FIGURES } = AEROSOL_SOURCES
const number = z.number().optional()
const sizeFields = { MMAD_um: number, MMD_um: number, GSD: number, d_um: number }
const fields = { ...sizeFields, Q_Lmin: number }
const answer = answersFrom(fields)
const sizeAnswer = answersFrom(sizeFields)

/** What median and spread say of the sizes. */
export const SIZE_ANSWERS = [
  sizeAnswer({
    name: 'fine-particle fraction < 5 um',
    asked: /^fine-particle fraction|^mass share below/,
    unit: '1',
    needs: ['MMAD_um', 'GSD'],
    value: ({ MMAD_um, GSD, d_um }, wording) => {
      const told = Number(wording.match(/([\d.]+) um/)?.[1] ?? 5)
      return massShareBelow({ mmadUm: MMAD_um, gsd: GSD }, d_um ?? told)
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
      const below = (um: number) => massShareBelow({ mmadUm: MMAD_um, gsd: GSD }, um)
      return below(high) - below(low)
    },
    sources: [HATCH_CHOATE, ABRAMOWITZ_STEGUN],
  }),
  sizeAnswer({
    name: 'count median diameter',
    asked: /^count median/,
    unit: 'um',
    needs: ['MMD_um', 'GSD'],
    value: ({ MMD_um, GSD }) => countMedianUm({ mmadUm: MMD_um, gsd: GSD }),
    sources: [HATCH_CHOATE],
  }),
  sizeAnswer({
    name: '16th and 84th mass percentiles',
    asked: /^16th and 84th/,
    unit: 'um',
    needs: ['MMAD_um', 'GSD'],
    value: ({ MMAD_um, GSD }) => [-1, 1].map((z) => diameterAt({ mmadUm: MMAD_um, gsd: GSD }, z)),
    sources: [HATCH_CHOATE],
  }),
]

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
      value: ({ Q_Lmin }) => jetDroplets(Q_Lmin).mmadUm.likely,
      sources: [CLAY_THORAX_1983, USUAL_FIGURES],
    }),
    answer({
      name: 'mass median at 8 L/min / at 4 L/min',
      asked: /^mass median at [\d.]+ L\/min \/ at [\d.]+ L\/min/,
      unit: '1',
      needs: [],
      value: (_, wording) => {
        const [over = Number.NaN, under = Number.NaN] = (wording.match(/[\d.]+(?= L)/g) ?? []).map(Number)
        return sizeByFlow(over) / sizeByFlow(under)
      },
      sources: [CLAY_THORAX_1983, USUAL_FIGURES],
    }),
  ],
})
