import { z } from 'zod'
import { BadInput } from '../worked.ts'
import { answering, answersFrom, type Figured, figured, shown } from './answers.ts'
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
function part(deposition: Deposition, wording: string, how: string): Figured {
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
  const { exhaled } = deposition
  return figured(
    of[asked],
    `${how}: in and out through the filters of each region, averaged where sizes are spread`,
    `nose ${shown(of.ET1)}, mouth and throat ${shown(of.ET2)}, bronchi ${shown(of.BB)}, bronchioles ${shown(of.bb)}, alveoli ${shown(of.AI)}, out again ${shown(exhaled)}`,
    asked === 'lung'
      ? `${shown(of.BB)} + ${shown(of.bb)} + ${shown(of.AI)} = ${shown(of.lung)}`
      : asked === 'total'
        ? `1 − ${shown(exhaled)} = ${shown(of.total)}`
        : `${asked}: ${shown(of[asked])}`,
  )
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

type BreathFor = ReturnType<typeof breathFor>

const inWords = ({ route, tidalMl, flowMlPerS, airways }: BreathFor) =>
  `${tidalMl} mL by ${route} at ${flowMlPerS} mL/s into lungs of ${airways.restMl} mL`

function oneSize(input: Fields & { d_ae_um: number }, wording: string): Figured {
  const breath = breathFor(input, wording)
  const landed = depositionOfSize(input.d_ae_um, breath, particleOf(input))
  return part(landed, wording, `${input.d_ae_um} um, ${inWords(breath)}`)
}

const WORKER_PARTS = [...REGIONS, 'total'] as const

function workerPart(input: Fields & { AMAD_um: number }, wording: string): Figured {
  const region = wording.match(/\b(ET1|ET2|BB|bb|AI|total)$/)?.[1] as
    | (typeof WORKER_PARTS)[number]
    | undefined
  if (!region) throw new BadInput('quantity', wording, `a region: ${WORKER_PARTS.join(', ')}`)
  const gsd = gsdOf(input, input.AMAD_um) ?? gsdOfWorkplace(input.AMAD_um)
  const { density = 3, shape = 1.5 } = input
  const shares = workerDeposition({ mmadUm: input.AMAD_um, gsd }, density, shape)
  const total = REGIONS.reduce((sum, each) => sum + shares[each], 0)
  return figured(
    100 * (region === 'total' ? total : shares[region]),
    `median ${input.AMAD_um} um, spread ${shown(gsd)}, density ${density}, shape ${shape}; 5.5 h of light work and 2.5 h sitting, by nose, weighted by the air breathed`,
    `${REGIONS.map((each) => `${each} ${shown(100 * shares[each])}`).join(' + ')} = ${shown(100 * total)} % of the dust in that air`,
  )
}

/** The spread as a number: told, or by the rule for dust at a workplace. */
function gsdOf({ GSD }: Fields, medianUm: number): number | undefined {
  return GSD === GSD_RULE ? gsdOfWorkplace(medianUm) : GSD
}

/** What the sizes of the droplets alone say, so that it can be asked for here as well. */
const SIZES = SIZE_ANSWERS.map(({ name, asked, unit, needs, sources = [], value }) =>
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

/** One of the fits, with the fit written out. */
function hindsFigure(um: number, name: (typeof HINDS_NAMES)[number]): Figured {
  const fractions = hindsFractions(um)
  const value = fractions[name]
  const d = `d = ${um} um, ln d = ${shown(Math.log(um))}, inhalable ${shown(fractions.inhalable)}`
  return figured(value, d, `${HINDS_FITS[name]} = ${shown(value)}`)
}

const HINDS_FITS: Readonly<Record<(typeof HINDS_NAMES)[number], string>> = {
  inhalable: '1 − 0.5 × (1 − 1 ÷ (1 + 0.00076 d^2.8))',
  head: 'inhalable × (1 ÷ (1 + e^(6.84 + 1.183 ln d)) + 1 ÷ (1 + e^(0.924 − 1.885 ln d)))',
  tracheobronchial: '0.00352 ÷ d × (e^(−0.234 (ln d + 3.4)²) + 63.9 e^(−0.819 (ln d − 1.61)²))',
  alveolar: '0.0155 ÷ d × (e^(−0.416 (ln d + 2.84)²) + 19.11 e^(−0.482 (ln d − 1.362)²))',
  total: 'inhalable × (0.0587 + 0.911 ÷ (1 + e^(4.77 + 1.485 ln d)) + 0.943 ÷ (1 + e^(0.508 − 2.58 ln d)))',
}

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
        value: oneSize,
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
          value: oneSize,
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
          const landed = regionalDeposition({ mmadUm: input.MMAD_um, gsd }, breath, particleOf(input))
          return part(landed, wording, `median ${input.MMAD_um} um, spread ${shown(gsd)}, ${inWords(breath)}`)
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
        value: ({ d_um }) => hindsFigure(d_um, name),
        sources: [HINDS_1999],
      }),
    ),
    answer({
      name: 'Stahlhofen, mouth and throat',
      asked: /^Stahlhofen/,
      unit: '1',
      needs: ['d_ae_um', 'Q_mL_s'],
      value: ({ d_ae_um, Q_mL_s }) => {
        const share = stahlhofenThroat(d_ae_um, Q_mL_s)
        return figured(share, `1 − 1 ÷ (3.5e-8 × (${d_ae_um}² × ${Q_mL_s})^1.7 + 1) = ${shown(share)}`)
      },
      sources: [STAHLHOFEN_1989],
    }),
    ...SIZES,
  ],
})
