import { z } from 'zod'
import { requireWithin } from '../worked.ts'
import { answering, answersFrom, figured, shown } from './answers.ts'
import { breathOf, shareWithoutTube, suppliedMl } from './breath.ts'
import { type MaskShape, shareHeldOff } from './interface.ts'
import { inhaledShare } from './reservoir.ts'
import { COVERED_SETUP } from './setup.ts'
import { breathFrom } from './setup-fields.ts'
import { AEROSOL_SOURCES } from './sources.ts'

const { BALANCE, COLLIS_1990, HATLEY_2017, LIN_2007, MANSOUR_2012 } = AEROSOL_SOURCES
const number = z.number().optional()
const fields = {
  pattern: z.string().optional(),
  VT_mL: number,
  rate_per_min: number,
  I: number,
  E: number,
  Q_neb_Lmin: number,
  reservoir_mL: number,
  square_wave: z.boolean().optional(),
  Q_neb_below_insp_flow: z.boolean().optional(),
  mask: z.string().optional(),
  distance_cm: number,
}
const answer = answersFrom(fields)
type Fields = z.infer<z.ZodObject<typeof fields>>

/** Any cup that gives mist, and what a hospital has in the way of tubes. */
const COVERED_CUP_FLOW = { low: 0.1, high: 60, unit: 'L/min' }

/** Flow of the cup [mL/s], once it is one. */
function flowOf({ Q_neb_Lmin = 8 }: Fields): number {
  requireWithin('Q_neb_Lmin', Q_neb_Lmin, COVERED_CUP_FLOW)
  return (Q_neb_Lmin * 1000) / 60
}

function sharesOf(input: Fields) {
  const { reservoir_mL = 0 } = input
  requireWithin('reservoir_mL', reservoir_mL, COVERED_SETUP.reservoirMl)
  return inhaledShare(breathOf(breathFrom(input)), flowOf(input), reservoir_mL)
}

/** What the breath asks and what the cup gives, as every share of this subject starts. */
function breathSteps(input: Fields): string[] {
  const breath = breathOf(breathFrom(input))
  const flow = shown(flowOf(input))
  return [
    `the breath takes ${shown(breath.tidalMl)} mL in ${shown(breath.inS)} of ${shown(breath.totalS)} s, at most ${shown(breath.peakMlPerS)} mL/s (half a sine); the cup gives ${flow} mL/s all the time, ${shown(flowOf(input) * breath.totalS)} mL a breath`,
    `where the smaller of the two flows counts, ${shown(suppliedMl(breath, flowOf(input)))} mL of a breath come from the cup without a tube`,
  ]
}

/** One of the three shares with a tube, beside what it takes for granted. */
function shareFigure(input: Fields, of: 'low' | 'likely' | 'high', assumed: string) {
  const share = sharesOf(input)[of]
  const perBreath = flowOf(input) * breathOf(breathFrom(input)).totalS
  return figured(
    share,
    ...breathSteps(input),
    `tube of ${input.reservoir_mL ?? 0} mL, ${assumed}: ${shown(share * perBreath)} of ${shown(perBreath)} mL are breathed in, ${shown(share)}`,
  )
}

/** Share of the output inhaled, without a tube, by how breath is divided; droplets and cup do not change with it. */
function shareAt(input: Fields, expiration: number): number {
  return shareWithoutTube(breathOf({ ...breathFrom(input), inspiration: 1, expiration }), flowOf(input))
}

/** From cup to lips: what of a steady output a breath can take. */
export const inhaledShareCalculation = answering({
  name: 'inhaled-share',
  purpose:
    'Share of what leaves the cup that a breath takes in, with and without a tube, and with a mask held off.',
  fields,
  answers: [
    answer({
      name: 'share of nebulizer output inhaled, gas moving as a plug in any tube',
      asked: /^share of nebulizer output inhaled(?!.*(full mixing|fully mixed|half way))/,
      unit: '1',
      needs: ['VT_mL', 'rate_per_min', 'Q_neb_Lmin'],
      value: (input) => shareFigure(input, 'high', 'gas moving as a plug'),
      sources: [BALANCE, COLLIS_1990],
    }),
    answer({
      name: 'full mixing limit of the share',
      asked: /full mixing|fully mixed/,
      unit: '1',
      needs: ['VT_mL', 'rate_per_min', 'Q_neb_Lmin', 'reservoir_mL'],
      value: (input) => shareFigure(input, 'low', 'gas mixed at once'),
      sources: [BALANCE],
    }),
    answer({
      name: 'half way between plug flow and full mixing, as a forecast takes it',
      asked: /half way/,
      unit: '1',
      needs: ['VT_mL', 'rate_per_min', 'Q_neb_Lmin', 'reservoir_mL'],
      value: (input) => {
        const { low, high } = sharesOf(input)
        return shareFigure(input, 'likely', `half way between ${shown(low)} and ${shown(high)}`)
      },
      sources: [BALANCE],
    }),
    answer({
      name: 'aerosol-gas share of tidal volume',
      asked: /entrains (no )?room air|^aerosol-gas share/,
      unit: '1',
      needs: ['VT_mL', 'rate_per_min', 'Q_neb_Lmin'],
      value: (input) => {
        const breath = breathOf(breathFrom(input))
        const supplied = suppliedMl(breath, flowOf(input))
        const share = supplied / breath.tidalMl
        const step = `${shown(supplied)} mL ÷ ${shown(breath.tidalMl)} mL = ${shown(share)}`
        return figured(share, ...breathSteps(input), step)
      },
      sources: [BALANCE, COLLIS_1990],
    }),
    answer({
      name: 'dilution of the inspired aerosol by entrained air',
      asked: /^dilution/,
      unit: '1',
      needs: ['VT_mL', 'rate_per_min', 'Q_neb_Lmin'],
      value: (input) => {
        const breath = breathOf(breathFrom(input))
        const supplied = suppliedMl(breath, flowOf(input))
        const dilution = breath.tidalMl / supplied
        const step = `${shown(breath.tidalMl)} mL ÷ ${shown(supplied)} mL = ${shown(dilution)}`
        return figured(dilution, ...breathSteps(input), step)
      },
      sources: [BALANCE, COLLIS_1990],
    }),
    answer({
      name: 'upper bound without reservoir: duty cycle',
      asked: /^upper bound|^duty cycle/,
      unit: '1',
      needs: ['I', 'E'],
      value: ({ I: inspiration, E: expiration }) => {
        const breath = breathOf({ ...breathFrom({}), inspiration, expiration })
        const share = breath.inS / breath.totalS
        return figured(share, `${inspiration} ÷ (${inspiration} + ${expiration}) = ${shown(share)}`)
      },
      sources: [BALANCE],
    }),
    answer({
      name: 'respirable dose at I:E 1:4 relative to 1:1',
      asked: /^respirable dose at I:E 1:[\d.]+ relative to 1:[\d.]+/,
      unit: '1',
      needs: ['VT_mL', 'rate_per_min'],
      value: (input, wording) => {
        const [over = Number.NaN, under = Number.NaN] = [...wording.matchAll(/1:([\d.]+)/g)].map((m) =>
          Number(m[1]),
        )
        const [a, b] = [shareAt(input, over), shareAt(input, under)]
        return figured(
          a / b,
          `without a tube at ${shown(flowOf(input))} mL/s: ${shown(a)} of the output at 1:${over}, ${shown(b)} at 1:${under}`,
          `${shown(a)} ÷ ${shown(b)} = ${shown(a / b)}`,
        )
      },
      sources: [BALANCE, HATLEY_2017],
    }),
    answer({
      name: 'mask held 2 cm off relative to on the face',
      asked: /mask held [\d.]+ cm off/,
      unit: '1',
      needs: ['mask'],
      value: ({ mask, distance_cm }, wording) => {
        const told = Number(wording.match(/held ([\d.]+) cm/)?.[1])
        const distance = distance_cm ?? told
        const { low, likely, high } = shareHeldOff(distance, mask as MaskShape) // refuses any other mask
        return figured(
          likely,
          `${mask} mask at ${distance} cm, by straight lines between the distances measured: ${shown(low)} to ${shown(high)} of what it gives on the face, likely ${shown(likely)}`,
        )
      },
      sources: [LIN_2007, MANSOUR_2012],
    }),
  ],
})
