import { z } from 'zod'
import { calculation } from '../calculation.ts'
import { type Answer, Figure, workingOf } from '../lung-function/calculation-parts.ts'
import { ASTHMA_GUIDES, asthmaSeverity } from './asthma-severity.ts'
import { ASTHMA_SIGN_FIELDS, signsGiven } from './asthma-signs.ts'
import { knownFields } from './known-fields.ts'
import { labelOf } from './label-of.ts'
import type { Snapshot } from './measures.ts'
import { type News2Part, news2 as scoreNews2 } from './news2.ts'
import { type PramPart, type PramSet, pram as scorePram } from './pram.ts'
import { ASSESSMENT_SOURCES } from './sources.ts'
import type { Consciousness } from './vocabulary.ts'

const MaybeFigure = Figure.nullish()

/** What a part of a score is called in the answer, and the input that it is scored from. */
type Names<Part extends string> = Readonly<Record<Part, { readonly part: string; readonly input: string }>>

function pointsByName<Part extends string>(
  points: Readonly<Partial<Record<Part, number | null>>>,
  names: Names<Part>,
): Record<string, unknown> {
  return Object.fromEntries(Object.entries(points).map(([part, value]) => [names[part as Part].part, value]))
}

/** The words of the published chart beside our own. */
const AWAKE: Readonly<Record<string, Consciousness>> = {
  alert: 'alert',
  'new confusion': 'new confusion',
  voice: 'to voice',
  'to voice': 'to voice',
  pain: 'to pain',
  'to pain': 'to pain',
  unresponsive: 'unresponsive',
}
const AWAKE_WORDS = Object.keys(AWAKE) as [string, ...string[]]

const NEWS2_NAMES: Names<News2Part> = {
  respiratoryRate: { part: 'respiration_rate', input: 'respiration_rate' },
  spo2: { part: 'spo2', input: 'spo2' },
  gas: { part: 'air_or_oxygen', input: 'gas' },
  systolic: { part: 'systolic_bp', input: 'systolic_bp' },
  heartRate: { part: 'pulse', input: 'pulse' },
  consciousness: { part: 'consciousness', input: 'consciousness' },
  temperature: { part: 'temperature', input: 'temperature' },
}

/** The early-warning score; a null or absent field was not measured. */
export const news2 = calculation({
  name: 'news2',
  purpose: 'NEWS2 points, total and risk on either SpO2 scale; with a part missing no total but "at least".',
  input: z.strictObject({
    score: labelOf('NEWS2'),
    respiration_rate: MaybeFigure,
    spo2: MaybeFigure,
    spo2_scale: z.union([z.literal(1), z.literal(2)]).default(1),
    gas: z.enum(['air', 'oxygen']).nullish(),
    systolic_bp: MaybeFigure,
    pulse: MaybeFigure,
    consciousness: z.enum(AWAKE_WORDS).nullish(),
    temperature: MaybeFigure,
    age_years: MaybeFigure,
    pregnant: z.boolean().nullish(),
  }),
  run: (given): Answer => {
    const score = scoreNews2({
      respiratoryRatePerMin: given.respiration_rate,
      spo2Percent: given.spo2,
      spo2Scale: given.spo2_scale,
      gas: given.gas,
      systolicMmHg: given.systolic_bp,
      heartRatePerMin: given.pulse,
      consciousness: AWAKE[given.consciousness ?? ''],
      temperatureCel: given.temperature,
      ageYears: given.age_years,
      pregnant: given.pregnant,
    })
    return {
      result: {
        parts: pointsByName(score.parts, NEWS2_NAMES),
        total: score.total?.value ?? null,
        at_least: score.atLeast,
        missing: score.missing.map((part) => NEWS2_NAMES[part].input),
        single_3: score.threeInOne,
        risk: score.risk,
        risk_at_least: score.riskAtLeast,
        monitor: score.monitor,
      },
      working: workingOf([score.total], { steps: score.steps, sources: [ASSESSMENT_SOURCES.RCP_2017] }),
    }
  },
})

/** The findings as two printed tables word them, and our own shorter words. */
const AIR_ENTRY: Readonly<Record<string, NonNullable<PramSet['airEntry']>>> = {
  normal: 'normal',
  'decreased at bases': 'less at the bases',
  'decreased at apex and bases': 'less at apex and bases',
  'minimal or absent': 'minimal or absent',
}
const WHEEZE: Readonly<Record<string, NonNullable<PramSet['wheeze']>>> = {
  absent: 'absent',
  'expiratory only': 'on breathing out only',
  'inspiratory (with or without expiratory)': 'on breathing in',
  'audible without stethoscope, or silent chest with minimal or no air entry':
    'heard without stethoscope, or silent chest',
}
const PRAM_NAMES: Names<PramPart> = {
  spo2: { part: 'spo2', input: 'spo2_room_air' },
  suprasternalRetraction: { part: 'suprasternal', input: 'suprasternal_retraction' },
  scaleneContraction: { part: 'scalene', input: 'scalene_contraction' },
  airEntry: { part: 'air_entry', input: 'air_entry' },
  wheeze: { part: 'wheeze', input: 'wheeze' },
}

/** The child's asthma score. */
export const pram = calculation({
  name: 'pram',
  purpose: 'PRAM points, total (0 to 12) and severity of acute asthma in a child of 2 to 17 years.',
  input: z.strictObject({
    score: labelOf('PRAM'),
    age_years: MaybeFigure,
    spo2_room_air: MaybeFigure,
    suprasternal_retraction: z.enum(['absent', 'present']).nullish(),
    scalene_contraction: z.enum(['absent', 'present']).nullish(),
    air_entry: z.enum(Object.keys(AIR_ENTRY) as [string, ...string[]]).nullish(),
    wheeze: z.enum(Object.keys(WHEEZE) as [string, ...string[]]).nullish(),
  }),
  run: (given): Answer => {
    const score = scorePram({
      ageYears: given.age_years,
      spo2RoomAirPercent: given.spo2_room_air,
      suprasternalRetraction: given.suprasternal_retraction,
      scaleneContraction: given.scalene_contraction,
      airEntry: AIR_ENTRY[given.air_entry ?? ''],
      wheeze: WHEEZE[given.wheeze ?? ''],
    })
    return {
      result: {
        parts: pointsByName(score.parts, PRAM_NAMES),
        total: score.total?.value ?? null,
        at_least: score.atLeast,
        at_most: score.atMost,
        missing: score.missing.map((part) => PRAM_NAMES[part].input),
        severity: score.severity,
      },
      working: workingOf([score.total], {
        steps: score.steps,
        sources: [ASSESSMENT_SOURCES.PRAM_2008],
        cautions: score.cautions,
      }),
    }
  },
})

const AsthmaInput = z.strictObject({
  score: z.enum(ASTHMA_GUIDES),
  age_years: Figure.optional(),
  pef_percent: Figure.optional(),
  respiration_rate: Figure.optional(),
  pulse: Figure.optional(),
  spo2: Figure.optional(),
  paO2_kPa: Figure.optional(),
  paCO2_kPa: Figure.optional(),
  ...ASTHMA_SIGN_FIELDS,
})

/** Severity of an attack of asthma, by a named guideline. */
export const asthma = calculation({
  name: 'asthma-severity',
  purpose:
    'Severity of an attack of asthma under the guideline named in "score", with what decided and what is missing.',
  input: AsthmaInput,
  run: (given): Answer => {
    const found = findingsOf(given)
    const judged = asthmaSeverity(given.score, found, given.age_years ?? null)
    return {
      result: {
        guide: judged.guide,
        class: judged.severity,
        because: [...new Set(judged.because.map(({ field }) => field))],
        settled: judged.settled,
        missing: judged.missing,
      },
      working: workingOf([], {
        steps: [
          ...judged.because.map(({ words }) => words),
          ...(judged.because.length > 0 ? [] : [milderStep(found, judged.severity)]),
        ],
        sources: [judged.source],
        cautions: judged.cautions,
      }),
    }
  },
})

/** Why no worse class: what was found, since no criterion speaks. */
function milderStep({ values, signs }: Snapshot, severity: string): string {
  const measured = Object.entries(values).map(([name, value]) => `${name} ${value}`)
  const seen = Object.entries(signs).map(([sign, there]) => `${sign}: ${there ? 'yes' : 'no'}`)
  return `${[...measured, ...seen].join(', ')}: reaches no criterion of a worse class, so ${severity}`
}

function findingsOf(given: z.infer<typeof AsthmaInput>): Snapshot {
  const values = {
    peakFlowPercent: given.pef_percent,
    respiratoryRatePerMin: given.respiration_rate,
    heartRatePerMin: given.pulse,
    spo2Percent: given.spo2,
    paO2Kpa: given.paO2_kPa,
    paCO2Kpa: given.paCO2_kPa,
  }
  return { values: knownFields(values), signs: signsGiven(given) }
}
