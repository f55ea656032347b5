import { z } from 'zod'
import { BadInput } from '../worked.ts'
import { BREATHING_PATTERNS, type BreathPattern, type PatternName } from './breath.ts'
import type { GasKind } from './gas.ts'
import { COVERED_DISTANCE, type Interface, type MaskShape } from './interface.ts'
import type { Setup } from './setup.ts'

const number = z.number().optional()

/** A set-up as flat fields; what is not given is that of an adult on a mouthpiece with a default jet. */
export const SETUP_FIELDS = {
  dose_mg: number,
  fill_mL: number,
  Q_Lmin: number,
  RH_in: number,
  T_room_degC: number,
  P_Pa: number,
  gas: z.string().optional(),
  cup: z.string().optional(),
  form: z.enum(['solution', 'suspension']).optional(),
  pattern: z.string().optional(),
  VT_mL: number,
  rate_per_min: number,
  I: number,
  E: number,
  reservoir_mL: number,
  MMAD_um: number,
  GSD: number,
  interface: z.string().optional(),
  mask: z.string().optional(),
  distance_cm: number,
  route: z.enum(['mouth', 'nose']).optional(),
  weight_kg: number,
  lungs: z.enum(['healthy', 'obstructed']).optional(),
  stop_after_min: number,
} as const

export type SetupFields = z.infer<z.ZodObject<typeof SETUP_FIELDS>>

/**
 * Fields as a set-up.
 * @throws BadInput for a pattern that is not listed, or when only one of MMAD_um and GSD is given
 */
export function setupOf(fields: SetupFields): Setup {
  const { MMAD_um, GSD, weight_kg } = fields
  if ((MMAD_um === undefined) !== (GSD === undefined))
    throw new BadInput('GSD', GSD, 'given together with MMAD_um')
  return {
    cup: {
      kind: fields.cup ?? 'jet',
      ...(MMAD_um !== undefined && GSD !== undefined && { droplets: { mmadUm: MMAD_um, gsd: GSD } }),
    },
    medicine: { doseMg: fields.dose_mg ?? 2.5, form: fields.form ?? 'solution' },
    fillMl: fields.fill_mL ?? 3,
    gas: {
      kind: (fields.gas ?? 'air') as GasKind, // checkSetup refuses any other
      flowLPerMin: fields.Q_Lmin ?? 8,
      relativeHumidity: fields.RH_in ?? 0,
    },
    room: { temperatureCel: fields.T_room_degC ?? 22, pressurePa: fields.P_Pa ?? 101_325 },
    breath: breathFrom(fields),
    breathesBy: fields.route ?? 'mouth',
    body: weight_kg === undefined ? { kind: 'adult' } : { kind: 'child', weightKg: weight_kg },
    lungs: fields.lungs ?? 'healthy',
    interface: interfaceFrom(fields),
    reservoirMl: fields.reservoir_mL ?? 0,
    stopAfterMin: fields.stop_after_min,
  }
}

/**
 * @throws BadInput for a pattern that is not listed
 */
export function breathFrom(fields: {
  pattern?: string | undefined
  VT_mL?: number | undefined
  rate_per_min?: number | undefined
  I?: number | undefined
  E?: number | undefined
}): BreathPattern {
  const name = fields.pattern ?? 'adult standard'
  if (!Object.hasOwn(BREATHING_PATTERNS, name)) {
    throw new BadInput('pattern', name, Object.keys(BREATHING_PATTERNS).join(', '))
  }
  const preset = BREATHING_PATTERNS[name as PatternName]
  return {
    tidalMl: fields.VT_mL ?? preset.tidalMl,
    ratePerMin: fields.rate_per_min ?? preset.ratePerMin,
    inspiration: fields.I ?? preset.inspiration,
    expiration: fields.E ?? preset.expiration,
  }
}

function interfaceFrom(fields: SetupFields): Interface {
  const kind = fields.interface ?? 'mouthpiece'
  if (kind !== 'mask held off') {
    for (const field of ['distance_cm', 'mask'] as const)
      if (fields[field] !== undefined)
        throw new BadInput(field, fields[field], 'only with the interface mask held off')
    return { kind } as Interface // interfaceShare refuses any other
  }
  const { distance_cm: distanceCm } = fields
  if (distanceCm === undefined) {
    const { low, high, unit } = COVERED_DISTANCE
    throw new BadInput('interface.distanceCm', distanceCm, `${low} to ${high} ${unit}`)
  }
  return { kind, distanceCm, mask: (fields.mask ?? 'standard') as MaskShape }
}
