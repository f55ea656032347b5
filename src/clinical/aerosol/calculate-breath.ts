import { z } from 'zod'
import { answering, answersFrom } from './answers.ts'
import { breathOf, shareWithoutTube, suppliedMl } from './breath.ts'
import { type MaskShape, shareHeldOff } from './interface.ts'
import { inhaledShare } from './reservoir.ts'
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

const flowOf = ({ Q_neb_Lmin = 8 }: Fields) => (Q_neb_Lmin * 1000) / 60

const sharesOf = (input: Fields) =>
  inhaledShare(breathOf(breathFrom(input)), flowOf(input), input.reservoir_mL ?? 0)

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
      value: (input) => sharesOf(input).high,
      sources: [BALANCE, COLLIS_1990],
    }),
    answer({
      name: 'full mixing limit of the share',
      asked: /full mixing|fully mixed/,
      unit: '1',
      needs: ['VT_mL', 'rate_per_min', 'Q_neb_Lmin', 'reservoir_mL'],
      value: (input) => sharesOf(input).low,
      sources: [BALANCE],
    }),
    answer({
      name: 'half way between plug flow and full mixing, as a forecast takes it',
      asked: /half way/,
      unit: '1',
      needs: ['VT_mL', 'rate_per_min', 'Q_neb_Lmin', 'reservoir_mL'],
      value: (input) => sharesOf(input).likely,
      sources: [BALANCE],
    }),
    answer({
      name: 'aerosol-gas share of tidal volume',
      asked: /entrains (no )?room air|^aerosol-gas share/,
      unit: '1',
      needs: ['VT_mL', 'rate_per_min', 'Q_neb_Lmin'],
      value: (input) => {
        const breath = breathOf(breathFrom(input))
        return suppliedMl(breath, flowOf(input)) / breath.tidalMl
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
        return breath.tidalMl / suppliedMl(breath, flowOf(input))
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
        return breath.inS / breath.totalS
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
        return shareAt(input, over) / shareAt(input, under)
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
        return shareHeldOff(distance_cm ?? told, mask as MaskShape).likely // refuses any other mask
      },
      sources: [LIN_2007, MANSOUR_2012],
    }),
  ],
})
