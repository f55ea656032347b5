import { z } from 'zod'
import { BadInput } from '../worked.ts'
import { answering, answersFrom } from './answers.ts'
import { SIZE_ANSWERS } from './calculate-droplets.ts'
import {
  ADULT_AIRWAYS,
  type Deposition,
  depositionOfSize,
  lungShare,
  ROUTES,
  type Route,
  regionalDeposition,
} from './lung.ts'
import { hindsFractions, stahlhofenThroat } from './lung-fits.ts'
import { AEROSOL_SOURCES } from './sources.ts'
import { GSD_RULE, gsdOfWorkplace, REGIONS, type Region, workerDeposition } from './worker.ts'

const { ICRP_66, HINDS_1999, STAHLHOFEN_1989, HATCH_CHOATE } = AEROSOL_SOURCES
const number = z.number().optional()
const fields = {
  d_um: number,
  d_ae_um: number,
  MMAD_um: number,
  MMD_um: number,
  AMAD_um: number,
  GSD: z.union([z.number(), z.literal(GSD_RULE)]).optional(),
  VT_mL: number,
  Q_mL_s: number,
  FRC_mL: number,
  inhalability: z.literal(1).optional(),
  density: number,
  shape: number,
  mix: z.literal('5.5 h light + 2.5 h sitting, nose').optional(),
  route: z.enum(['mouth', 'nose']).optional(),
}
const answer = answersFrom(fields)
type Fields = z.infer<z.ZodObject<typeof fields>>

/** Which region a wording asks for: total is all that does not come out again. */
function part(deposition: Deposition, wording: string): number {
  const of: Record<Region | 'total' | 'lung', number> = {
    ET1: deposition.nose,
    ET2: deposition.mouthThroat,
    BB: deposition.bronchi,
    bb: deposition.bronchioles,
    AI: deposition.alveoli,
    total: 1 - deposition.exhaled,
    lung: lungShare(deposition),
  }
  const asked = wording.match(/\b(ET1|ET2|BB|bb|AI|total|lung)\b/)?.[1] as keyof typeof of | undefined
  if (!asked) throw new BadInput('quantity', wording, `one of ${Object.keys(of).join(', ')} in its words`)
  return of[asked]
}

function breathFor(input: Fields, wording: string) {
  const said = wording.match(/\b(mouth|nose) breathing/)?.[1] as Route | undefined
  if (said && input.route && said !== input.route) {
    throw new BadInput('route', input.route, `${said}, as the quantity says`)
  }
  return {
    route: input.route ?? said ?? 'mouth',
    tidalMl: input.VT_mL ?? 500,
    flowMlPerS: input.Q_mL_s ?? 250,
    airways: { ...ADULT_AIRWAYS, restMl: input.FRC_mL ?? ADULT_AIRWAYS.restMl },
  }
}

function particleOf({ density = 1, shape = 1 }: Fields) {
  return { densityGPerCm3: density, shapeFactor: shape, ofAmbientAir: false }
}

const WORKER_PARTS = [...REGIONS, 'total'] as const

function workerPart(input: Fields & { AMAD_um: number }, wording: string): number {
  const region = wording.match(/\b(ET1|ET2|BB|bb|AI|total)$/)?.[1] as
    | (typeof WORKER_PARTS)[number]
    | undefined
  if (!region) throw new BadInput('quantity', wording, `a region: ${WORKER_PARTS.join(', ')}`)
  const gsd = gsdOf(input, input.AMAD_um) ?? gsdOfWorkplace(input.AMAD_um)
  const { density = 3, shape = 1.5 } = input
  const shares = workerDeposition({ mmadUm: input.AMAD_um, gsd }, density, shape)
  return 100 * (region === 'total' ? REGIONS.reduce((sum, each) => sum + shares[each], 0) : shares[region])
}

/** The spread as a number: told, or by the rule for dust at a workplace. */
function gsdOf({ GSD }: Fields, medianUm: number): number | undefined {
  return GSD === GSD_RULE ? gsdOfWorkplace(medianUm) : GSD
}

/** What the sizes of the droplets alone say, so that it can be asked for here as well. */
const SIZES = SIZE_ANSWERS.map(({ name, asked, unit, needs, sources, value }) =>
  answer({
    name,
    asked,
    unit,
    needs,
    sources,
    value: (input: Fields, wording: string) =>
      value({ ...input, GSD: gsdOf(input, input.MMAD_um ?? input.MMD_um ?? Number.NaN) }, wording),
  }),
)

const REGION_NAMES = ['ET1', 'ET2', 'BB', 'bb', 'AI', 'total', 'lung'] as const
const HINDS_NAMES = ['head', 'tracheobronchial', 'alveolar', 'total', 'inhalable'] as const

/** Where particles land. */
export const deposition = answering({
  name: 'deposition',
  purpose:
    'Share that lands in each region of the airways, by size or for lognormal droplets, by mouth or nose.',
  fields,
  cautions: ['Healthy adults; the fits of Hinds are for teaching, never for a mouthpiece.'],
  answers: [
    ...WORKER_PARTS.map((region) =>
      answer({
        name: `ICRP 66 reference worker, ${region === 'total' ? region : `region ${region}`}`,
        asked: new RegExp(`^ICRP 66 reference worker.*\\b${region}$`),
        unit: '%',
        needs: ['AMAD_um'],
        value: workerPart,
        sources: [ICRP_66],
      }),
    ),
    ...REGION_NAMES.map((region) =>
      answer({
        name: `ICRP 66, one size, ${region}`,
        asked: new RegExp(`^ICRP 66, one size, ${region}$`),
        unit: '1',
        needs: ['d_ae_um'],
        listed: ({ route }) => route !== undefined,
        value: (input, wording) =>
          part(depositionOfSize(input.d_ae_um, breathFor(input, wording), particleOf(input)), wording),
        sources: [ICRP_66],
      }),
    ),
    // Where the fields do not say the route, both are told.
    ...ROUTES.flatMap((route) =>
      REGION_NAMES.map((region) =>
        answer({
          name: `ICRP 66 ${route} breathing, one size, ${region}`,
          asked: new RegExp(`^ICRP 66 ${route} breathing(?!.*lognormal).*\\b${region}\\b`),
          unit: '1',
          needs: ['d_ae_um'],
          listed: (input) => input.route === undefined,
          value: (input, wording) =>
            part(depositionOfSize(input.d_ae_um, breathFor(input, wording), particleOf(input)), wording),
          sources: [ICRP_66],
        }),
      ),
    ),
    ...REGION_NAMES.map((region) =>
      answer({
        name: `ICRP 66, lognormal, ${region}`,
        asked: new RegExp(`^ICRP 66.*lognormal.*\\b${region}\\b`),
        unit: '1',
        needs: ['MMAD_um', 'GSD'],
        value: (input, wording) => {
          const gsd = gsdOf(input, input.MMAD_um) ?? Number.NaN // needs has seen to it
          const breath = breathFor(input, wording)
          return part(regionalDeposition({ mmadUm: input.MMAD_um, gsd }, breath, particleOf(input)), wording)
        },
        sources: [ICRP_66, HATCH_CHOATE],
      }),
    ),
    ...HINDS_NAMES.map((name) =>
      answer({
        name: `Hinds, ${name}`,
        asked: new RegExp(`^Hinds.*\\b${name}\\b`),
        unit: '1',
        needs: ['d_um'],
        value: ({ d_um }) => hindsFractions(d_um)[name],
        sources: [HINDS_1999],
      }),
    ),
    answer({
      name: 'Stahlhofen, mouth and throat',
      asked: /^Stahlhofen/,
      unit: '1',
      needs: ['d_ae_um', 'Q_mL_s'],
      value: ({ d_ae_um, Q_mL_s }) => stahlhofenThroat(d_ae_um, Q_mL_s),
      sources: [STAHLHOFEN_1989],
    }),
    ...SIZES,
  ],
})
