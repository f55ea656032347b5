import {
  type ChangeAgainstNoise,
  changeAgainstNoise,
  judgeStopRules,
  type Measure,
  type News2,
  news2,
  snapshotOf,
  vitalRanges,
} from '../../clinical/assessment/index.ts'
import type { Formulary } from '../../clinical/medicine/index.ts'
import type { Source, Worked } from '../../clinical/worked.ts'
import type { Measurements } from '../facts/measurements.ts'
import { ageAt, type PatientState } from '../folds/patient.ts'

/** A stop rule that spoke, with what it saw. */
export type StopSpoken = {
  readonly code: string
  readonly what: string
  readonly action: string
  readonly todo: string
  readonly tell: string
  readonly sources: readonly Source[]
}

/** The kinds by which stop rules know what is in the cup. */
function kindsInCup(formulary: Formulary, medicineIds: readonly string[]): string[] {
  const classes = medicineIds.flatMap((id) => formulary.medicine(id)?.classes ?? [])
  const kinds = new Set<string>()
  for (const name of classes) {
    if (/beta-2|anticholinergic|epinephrine|beta agonist/.test(name)) kinds.add('bronchodilator')
    if (/anticholinergic/.test(name)) kinds.add('anticholinergic')
    if (/antibacterial/.test(name)) kinds.add('inhaled antibacterial')
  }
  if (medicineIds.some((id) => id === 'sodium-chloride-3' || id === 'sodium-chloride-7'))
    kinds.add('hypertonic saline')
  if (medicineIds.some((id) => /epinephrine/.test(id))) kinds.add('epinephrine')
  if (medicineIds.includes('amikacin-liposomal')) kinds.add('liposomal amikacin')
  if (medicineIds.includes('iloprost')) kinds.add('iloprost')
  return [...kinds]
}

/** Puts what is measured now, against the set before this treatment, to every stop rule of the phase. */
export function stopsFor(
  phase: 'before' | 'during' | 'after',
  now: Measurements,
  before: Measurements | null,
  patient: PatientState,
  context: {
    readonly formulary: Formulary
    readonly medicineIds: readonly string[]
    readonly gas: string | null
    readonly at: string
  },
): StopSpoken[] {
  const conditions = patient.conditions.flatMap(({ code }) =>
    code === 'hypercapnia-risk' ? ['hypercapnic risk'] : [code],
  )
  const judged = judgeStopRules(
    {
      phase,
      ageYears: ageAt(patient.dob, context.at)?.years ?? null,
      medicines: kindsInCup(context.formulary, context.medicineIds),
      conditions,
      devices: ['jet nebulizer'],
      drivingGas: context.gas,
      limits: patient.target ? { spo2TargetLow: patient.target.lowPercent } : {},
    },
    snapshotOf(now),
    before && snapshotOf(before),
  )
  return judged.fired.map(({ id, what, action, todo, tell, sources, because }) => ({
    code: id,
    what: [what, ...because].join(': '),
    action,
    todo,
    tell,
    sources,
  }))
}

/** The score of a set of measurements: the early-warning score from 16 years on, else how it lies in the age's ranges. */
export type Score =
  | { readonly kind: 'early warning'; readonly news2: News2 }
  | { readonly kind: 'by age'; readonly words: string; readonly sources: readonly Source[] }

const ADULT_FROM_YEARS = 16

export function scoreOf(values: Measurements, patient: PatientState, at: string): Score | null {
  const age = ageAt(patient.dob, at)
  if (!age) return null
  if (age.years < ADULT_FROM_YEARS) return byAge(values, age.years)
  const on = values.spo2On
  return {
    kind: 'early warning',
    news2: news2({
      respiratoryRatePerMin: values.respiratoryRatePerMin ?? null,
      spo2Percent: values.spo2Percent ?? null,
      spo2Scale: patient.target?.newsScale ?? 1,
      gas: on === undefined ? null : on.device === 'room air' ? 'air' : 'oxygen',
      systolicMmHg: values.systolicMmHg ?? null,
      heartRatePerMin: values.heartRatePerMin ?? null,
      consciousness: values.consciousness ?? null,
      temperatureCel: values.temperatureCel ?? null,
      ageYears: age.years,
    }),
  }
}

const BY_AGE: Readonly<
  Record<string, { readonly name: string; readonly of: (values: Measurements) => number | undefined }>
> = {
  heartRateAwake: { name: 'heart rate', of: ({ heartRatePerMin }) => heartRatePerMin },
  respiratoryRate: { name: 'breaths', of: ({ respiratoryRatePerMin }) => respiratoryRatePerMin },
}

function byAge(values: Measurements, years: number): Score {
  const sources = new Map<string, Source>()
  const said = vitalRanges(years).flatMap(({ vital, low, high, set, source }) => {
    const value = BY_AGE[vital]?.of(values)
    if (value === undefined) return []
    sources.set(source.key, source)
    const place = value < low ? 'below' : value > high ? 'above' : 'within'
    return [`${BY_AGE[vital]?.name} ${value} is ${place} ${low} to ${high} (${set})`]
  })
  return {
    kind: 'by age',
    words: said.length === 0 ? 'Nothing to compare yet.' : `${said.join('; ')}.`,
    sources: [...sources.values()],
  }
}

/** One measure before and after: both figures, the change, and whether it is more than the measurement's own noise. */
export type Change = {
  readonly name: string
  readonly from: string
  readonly to: string
  readonly words: string
  readonly worked: Worked | null
}

const MEASURED: readonly {
  readonly name: string
  readonly unit: string
  readonly measure: Measure
  readonly of: (values: Measurements) => number | undefined
}[] = [
  {
    name: 'Heart rate',
    unit: '/min',
    measure: 'heartRatePerMin',
    of: ({ heartRatePerMin }) => heartRatePerMin,
  },
  {
    name: 'Breaths',
    unit: '/min',
    measure: 'respiratoryRatePerMin',
    of: ({ respiratoryRatePerMin }) => respiratoryRatePerMin,
  },
  { name: 'SpO2', unit: '%', measure: 'spo2Percent', of: ({ spo2Percent }) => spo2Percent },
  {
    name: 'Peak flow',
    unit: 'L/min',
    measure: 'peakFlowLPerMin',
    of: ({ peakFlowLPerMin }) => peakFlowLPerMin && Math.max(...peakFlowLPerMin),
  },
  { name: 'Dyspnea', unit: 'of 10', measure: 'dyspnea0To10', of: ({ dyspnea0To10 }) => dyspnea0To10 },
]

/** What changed between two sets, for the screen and the note. */
export function changesBetween(before: Measurements, after: Measurements): Change[] {
  return MEASURED.flatMap(({ name, unit, measure, of }) => {
    const [from, to] = [of(before), of(after)]
    if (from === undefined || to === undefined) return []
    const judged = judge(measure, from, to)
    const shown = (value: number) => (unit.startsWith('/') ? `${value}${unit}` : `${value} ${unit}`)
    return [
      {
        name,
        from: shown(from),
        to: shown(to),
        words: judged?.words ?? '',
        worked: judged && workedChange(judged, from, to),
      },
    ]
  })
}

function judge(measure: Measure, from: number, to: number): ChangeAgainstNoise | null {
  try {
    return changeAgainstNoise(measure, from, to)
  } catch {
    // No published noise for this measure: the figures stand side by side without a word on them.
    return null
  }
}

function workedChange(
  { change, unit, words, sources, noise }: ChangeAgainstNoise,
  from: number,
  to: number,
): Worked {
  return {
    value: change,
    unit,
    steps: [`${to} − ${from} = ${change}`, `the measurement by itself wanders by ${noise}`, words],
    sources,
  }
}
