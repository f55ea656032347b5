import { z } from 'zod'
import { once } from '../once.ts'
import { BadInput, OutsideValidity, type Range, requireWithin, type Worked } from '../worked.ts'
import defaultBands from './data/pram.json' with { type: 'json' }
import { Heading } from './document.ts'
import { ASSESSMENT_SOURCES } from './sources.ts'

/** Points of each finding, in our own words for the findings. */
export const PRAM_POINTS = {
  suprasternalRetraction: { absent: 0, present: 2 },
  scaleneContraction: { absent: 0, present: 2 },
  airEntry: { normal: 0, 'less at the bases': 1, 'less at apex and bases': 2, 'minimal or absent': 3 },
  wheeze: {
    absent: 0,
    'on breathing out only': 1,
    'on breathing in': 2,
    'heard without stethoscope, or silent chest': 3,
  },
} as const

export const PRAM_PARTS = [
  'spo2',
  'suprasternalRetraction',
  'scaleneContraction',
  'airEntry',
  'wheeze',
] as const
export type PramPart = (typeof PRAM_PARTS)[number]
type Finding<Part extends keyof typeof PRAM_POINTS> = keyof (typeof PRAM_POINTS)[Part] | null | undefined

/** What was found. Null or absent: not looked for. Air entry is that of the worst field, wheeze of the two worst zones. */
export type PramSet = {
  readonly ageYears?: number | null | undefined
  /** On room air; null when the child is on oxygen, which leaves the score incomplete. */
  readonly spo2RoomAirPercent?: number | null | undefined
  readonly suprasternalRetraction?: Finding<'suprasternalRetraction'>
  readonly scaleneContraction?: Finding<'scaleneContraction'>
  readonly airEntry?: Finding<'airEntry'>
  readonly wheeze?: Finding<'wheeze'>
}

export type Pram = {
  readonly parts: Readonly<Record<PramPart, number | null>>
  readonly total: Worked<'{score}'> | null
  readonly atLeast: number
  /** The highest total that the missing parts leave possible. */
  readonly atMost: number
  readonly missing: readonly PramPart[]
  readonly severity: string | null
  readonly steps: readonly string[]
  readonly cautions: readonly string[]
}

/** The bands that a hospital may set otherwise: print does not agree with itself. */
export const PramBands = z
  .strictObject({
    kind: z.literal('pram-bands'),
    ...Heading,
    bands: z.array(z.strictObject({ upTo: z.int().min(0).max(12), severity: z.string().min(1) })).min(1),
  })
  .refine(({ bands }) => bands.at(-1)?.upTo === 12, 'the last band ends at 12')
  .refine(
    ({ bands }) => bands.every(({ upTo }, at) => upTo > (bands[at - 1]?.upTo ?? -1)),
    'bands rise from the first to the last',
  )
export const defaultPramBands = once(() => PramBands.parse(defaultBands))

const CHILDREN: Range = { low: 2, high: 17, unit: 'a (completed years)' }

const MOST: Readonly<Record<PramPart, number>> = {
  spo2: 2,
  suprasternalRetraction: 2,
  scaleneContraction: 2,
  airEntry: 3,
  wheeze: 3,
}

/**
 * PRAM [0 to 12 points] for acute asthma in children of 2 to 17 years.
 * @throws OutsideValidity for another age, or an SpO2 that cannot be; BadInput for a finding that is not known or an
 * SpO2 that is not a whole number
 * @see PRAM_2008
 */
export function pram(set: PramSet, document: z.infer<typeof PramBands> = defaultPramBands()): Pram {
  const { ageYears, spo2RoomAirPercent: spo2 } = set
  const isChild = ageYears === null || ageYears === undefined || (ageYears >= 2 && ageYears < 18)
  if (!isChild) throw new OutsideValidity('ageYears', ageYears, CHILDREN)
  const parts = {
    spo2: spo2Points(spo2),
    suprasternalRetraction: points('suprasternalRetraction', set.suprasternalRetraction),
    scaleneContraction: points('scaleneContraction', set.scaleneContraction),
    airEntry: points('airEntry', set.airEntry),
    wheeze: points('wheeze', set.wheeze),
  }
  const missing = PRAM_PARTS.filter((part) => parts[part] === null)
  const atLeast = PRAM_PARTS.reduce((sum, part) => sum + (parts[part] ?? 0), 0)
  const atMost = missing.reduce((sum, part) => sum + MOST[part], atLeast)
  const bandOf = (value: number) => document.bands.find(({ upTo }) => value <= upTo)?.severity ?? null
  // Named with parts missing only where no missing part could change the name.
  const steps = stepsOf(parts, missing, atLeast, atMost)
  const severity = bandOf(atLeast) === bandOf(atMost) ? bandOf(atLeast) : null
  return {
    parts,
    total: missing.length === 0 ? worked(atLeast, steps) : null,
    atLeast,
    atMost,
    missing,
    severity,
    steps,
    cautions: cautionsFor(set, missing),
  }
}

function spo2Points(spo2: number | null | undefined): number | null {
  if (spo2 === null || spo2 === undefined) return null
  requireWithin('spo2RoomAirPercent', spo2, { low: 1, high: 100, unit: '%' })
  if (!Number.isInteger(spo2)) throw new BadInput('spo2RoomAirPercent', spo2, 'a whole number')
  if (spo2 >= 95) return 0
  return spo2 >= 92 ? 1 : 2
}

function points<Part extends keyof typeof PRAM_POINTS>(part: Part, found: Finding<Part>): number | null {
  if (found === null || found === undefined) return null
  const allowed: Readonly<Record<string, number>> = PRAM_POINTS[part]
  const value = allowed[String(found)]
  if (value === undefined) throw new BadInput(part, found, Object.keys(allowed).join(', '))
  return value
}

function cautionsFor({ airEntry, wheeze }: PramSet, missing: readonly PramPart[]): string[] {
  return [
    ...(missing.includes('spo2') ? ['SpO2 on room air is missing: the score stays incomplete.'] : []),
    ...(airEntry === 'minimal or absent' && wheeze === 'absent'
      ? ['No wheeze with hardly any air entry may be a silent chest, which scores 3: look again.']
      : []),
  ]
}

function stepsOf(
  parts: Pram['parts'],
  missing: readonly PramPart[],
  atLeast: number,
  atMost: number,
): string[] {
  const scored = PRAM_PARTS.filter((part) => parts[part] !== null)
  const sum = scored.map((part) => `${part} ${parts[part]}`).join(' + ') || 'nothing was looked for'
  if (missing.length === 0) return [`${sum} = ${atLeast}`]
  const open = missing.map((part) => `${part} 0 to ${MOST[part]}`).join(', ')
  return [`${sum} = at least ${atLeast}`, `missing: ${open}; so ${atLeast} to ${atMost}`]
}

function worked(value: number, steps: readonly string[]): Worked<'{score}'> {
  return {
    value,
    unit: '{score}',
    steps,
    sources: [ASSESSMENT_SOURCES.PRAM_2008, ASSESSMENT_SOURCES.MISSING_RULE],
    validity: 'children of 2 to 17 years with acute asthma',
  }
}
