import { BadInput, type Range, requireWithin, type Worked } from '../worked.ts'
import data from './data/news2.json' with { type: 'json' }
import { ASSESSMENT_SOURCES } from './sources.ts'
import { CONSCIOUSNESS, type Consciousness } from './vocabulary.ts'

type Maybe<Value> = Value | null | undefined

/** One set for the score. What is null or absent was not measured. */
export type News2Set = {
  readonly respiratoryRatePerMin?: Maybe<number>
  readonly spo2Percent?: Maybe<number>
  /** Scale 2 only where a clinician has recorded it, for a target of 88 to 92 %. */
  readonly spo2Scale: 1 | 2
  /** What was breathed when the SpO2 was taken; a nebulizer driven by oxygen is oxygen. */
  readonly gas?: Maybe<'air' | 'oxygen'>
  readonly systolicMmHg?: Maybe<number>
  readonly heartRatePerMin?: Maybe<number>
  readonly consciousness?: Maybe<Consciousness>
  readonly temperatureCel?: Maybe<number>
  readonly ageYears?: Maybe<number>
  readonly pregnant?: Maybe<boolean>
}

export const NEWS2_PARTS = [
  'respiratoryRate',
  'spo2',
  'gas',
  'systolic',
  'heartRate',
  'consciousness',
  'temperature',
] as const
export type News2Part = (typeof NEWS2_PARTS)[number]
type Points = Readonly<Record<News2Part, number | null>>

export type News2 = {
  readonly parts: Points
  /** Null as long as a part is missing: a missing part is not a zero. */
  readonly total: Worked<'{score}'> | null
  /** The sum of what is known. */
  readonly atLeast: number
  readonly missing: readonly News2Part[]
  readonly threeInOne: boolean
  /** Of the total; null while it is not known. */
  readonly risk: string | null
  /** Of what is known so far: the true risk is this or higher. */
  readonly riskAtLeast: string
  readonly monitor: string
  readonly words: string
  /** Each part that was measured with its points, and their sum. */
  readonly steps: readonly string[]
}

const LIMITS: Readonly<Record<string, Range>> = {
  respiratoryRatePerMin: { low: 0, high: 150, unit: '/min' },
  spo2Percent: { low: 1, high: 100, unit: '%' },
  systolicMmHg: { low: 0, high: 350, unit: 'mmHg' },
  heartRatePerMin: { low: 0, high: 400, unit: '/min' },
  temperatureCel: { low: 20, high: 46, unit: '°C' },
}

/**
 * NEWS2 [points] on either SpO2 scale. Whole numbers, temperature to one decimal; anything finer is refused, since
 * it could fall between two bands.
 * @throws OutsideValidity for a value that cannot be, or an age below 16; BadInput for too many decimals, pregnancy,
 * or a word for consciousness or gas that is not known
 * @see RCP_2017, Charts 1 and 4
 */
export function news2(set: News2Set): News2 {
  requireUsable(set)
  const parts = pointsOf(set)
  const missing = NEWS2_PARTS.filter((part) => isMissing(part, set))
  const atLeast = NEWS2_PARTS.reduce((sum, part) => sum + (parts[part] ?? 0), 0)
  const threeInOne = NEWS2_PARTS.some((part) => parts[part] === 3)
  const response = data.responses[responseTo(atLeast, threeInOne)]
  const complete = missing.length === 0
  const steps = stepsOf(parts, set, atLeast, missing)
  return {
    parts,
    steps,
    total: complete ? total(atLeast, steps, set) : null,
    atLeast,
    missing,
    threeInOne,
    risk: complete ? response.risk : null,
    riskAtLeast: response.risk,
    monitor: response.monitor,
    words: complete
      ? `${atLeast}, ${response.risk} risk${threeInOne ? ', 3 in one part' : ''}`
      : `at least ${atLeast}; missing: ${missing.map((part) => PART_WORDS[part]).join(', ')}`,
  }
}

const PART_WORDS: Readonly<Record<News2Part, string>> = {
  respiratoryRate: 'respiratory rate',
  spo2: 'SpO2',
  gas: 'air or oxygen',
  systolic: 'systolic pressure',
  heartRate: 'heart rate',
  consciousness: 'consciousness',
  temperature: 'temperature',
}

function requireUsable(set: News2Set): void {
  const { ageYears, pregnant, spo2Scale, gas, consciousness } = set
  if (known(ageYears)) requireWithin('ageYears', ageYears, { low: 16, high: 120, unit: 'a' })
  if (pregnant === true) throw new BadInput('pregnant', true, 'NEWS2 is not for use in pregnancy')
  if (spo2Scale !== 1 && spo2Scale !== 2) throw new BadInput('spo2Scale', spo2Scale, '1 or 2')
  if (known(gas) && gas !== 'air' && gas !== 'oxygen') throw new BadInput('gas', gas, 'air or oxygen')
  if (known(consciousness) && !(consciousness in CONSCIOUSNESS)) {
    throw new BadInput('consciousness', consciousness, Object.keys(CONSCIOUSNESS).join(', '))
  }
  const { respiratoryRatePerMin, spo2Percent, systolicMmHg, heartRatePerMin, temperatureCel } = set
  const given = { respiratoryRatePerMin, spo2Percent, systolicMmHg, heartRatePerMin, temperatureCel }
  for (const [field, value] of Object.entries(given)) requireFigure(field, value)
}

function requireFigure(field: string, value: Maybe<number>): void {
  const range = LIMITS[field]
  if (!known(value) || !range) return
  requireWithin(field, value, range)
  const finest = field === 'temperatureCel' ? 10 : 1
  const tooFine = Math.abs(value * finest - Math.round(value * finest)) > 1e-6
  if (tooFine) throw new BadInput(field, value, finest === 10 ? 'one decimal at most' : 'a whole number')
}

function known<Value>(value: Maybe<Value>): value is Value {
  return value !== null && value !== undefined
}

type Band = { readonly upTo?: number; readonly points: number }

function inBand(bands: readonly Band[], value: Maybe<number>): number | null {
  if (!known(value)) return null
  return bands.find(({ upTo = Infinity }) => value <= upTo)?.points ?? null
}

function pointsOf(set: News2Set): Points {
  const { bands } = data
  return {
    respiratoryRate: inBand(bands.respiratoryRate, set.respiratoryRatePerMin),
    spo2: spo2Points(set),
    gas: known(set.gas) ? (set.gas === 'oxygen' ? data.oxygenPoints : 0) : null,
    systolic: inBand(bands.systolic, set.systolicMmHg),
    heartRate: inBand(bands.heartRate, set.heartRatePerMin),
    consciousness: known(set.consciousness)
      ? set.consciousness === 'alert'
        ? 0
        : data.notAlertPoints
      : null,
    temperature: inBand(bands.temperature, known(set.temperatureCel) ? tenths(set.temperatureCel) : null),
  }
}

const tenths = (value: number) => Math.round(value * 10) / 10

/** On scale 2 a high SpO2 means one thing on air and another on oxygen: without the gas it has no points yet. */
function spo2Points({ spo2Scale, spo2Percent, gas }: News2Set): number | null {
  const { spo2Scale1, spo2Scale2OnAir, spo2Scale2OnOxygen } = data.bands
  if (spo2Scale === 1) return inBand(spo2Scale1, spo2Percent)
  const [onAir, onOxygen] = [inBand(spo2Scale2OnAir, spo2Percent), inBand(spo2Scale2OnOxygen, spo2Percent)]
  if (onAir === onOxygen) return onAir
  return known(gas) ? (gas === 'oxygen' ? onOxygen : onAir) : null
}

function isMissing(part: News2Part, set: News2Set): boolean {
  return !known(measured(set)[part])
}

function measured(set: News2Set): Readonly<Record<News2Part, Maybe<number | string>>> {
  return {
    respiratoryRate: set.respiratoryRatePerMin,
    spo2: set.spo2Percent,
    gas: set.gas,
    systolic: set.systolicMmHg,
    heartRate: set.heartRatePerMin,
    consciousness: set.consciousness,
    temperature: set.temperatureCel,
  }
}

function stepsOf(parts: Points, set: News2Set, sum: number, missing: readonly News2Part[]): string[] {
  const scored = NEWS2_PARTS.filter((part) => parts[part] !== null)
  const found = measured(set)
  const at = (part: News2Part) => (part === 'spo2' ? `${found.spo2} on scale ${set.spo2Scale}` : found[part])
  const least = missing.length === 0 ? '' : 'at least '
  return [
    ...scored.map((part) => `${part === 'gas' ? 'breathing' : PART_WORDS[part]} ${at(part)}: ${parts[part]}`),
    `${scored.map((part) => parts[part]).join(' + ') || 'nothing was measured'} = ${least}${sum}`,
    ...(missing.length === 0
      ? []
      : [`missing: ${missing.map((part) => PART_WORDS[part]).join(', ')}, which count as unknown, not as 0`]),
  ]
}

function responseTo(total: number, threeInOne: boolean): keyof typeof data.responses {
  if (total >= 7) return 'high'
  if (total >= 5) return 'medium'
  if (threeInOne) return 'threeInOne'
  return total === 0 ? 'none' : 'low'
}

function total(value: number, steps: readonly string[], set: News2Set): Worked<'{score}'> {
  const cautions = [
    ...(set.gas === 'oxygen' ? ['A nebulizer driven by oxygen counts as oxygen while it runs.'] : []),
    ...(set.spo2Scale === 2 ? ['SpO2 scale 2: only where a clinician has recorded it.'] : []),
  ]
  return {
    value,
    unit: '{score}',
    steps,
    sources: [ASSESSMENT_SOURCES.RCP_2017, ASSESSMENT_SOURCES.RCP_LIMITS, ASSESSMENT_SOURCES.MISSING_RULE],
    validity: 'ages 16 and over, not in pregnancy',
    ...(cautions.length > 0 && { caution: cautions.join(' ') }),
  }
}
