import { BadInput, type Range, requireWithin, type Source } from '../worked.ts'
import { type Lms, LOWER_LIMIT_Z, lmsValue, lmsZ } from './lms.ts'
import { type Person, requireBody, type Sex } from './person.ts'
import {
  chooseGroup,
  type Parameter,
  type Prediction,
  type ReferenceSystem,
  type Unit,
} from './reference-system.ts'
import { shown, sumShown } from './shown.ts'

const GLI_UNITS = { FEV1: 'L', FVC: 'L', FEV1FVC: '1' } as const satisfies Partial<Record<Parameter, Unit>>
type GliParameter = keyof typeof GLI_UNITS

/** Coefficients in the order intercept, ln height (M only), ln age; group terms are zero when not listed. */
type Coefficients = {
  readonly m: readonly number[]
  readonly s: readonly number[]
  readonly l: readonly number[]
  readonly groupM?: Readonly<Record<string, number>>
  readonly groupS?: Readonly<Record<string, number>>
}
type Splines = {
  readonly m: readonly number[]
  readonly s: readonly number[]
  readonly l?: readonly number[]
}

/** A look-up table as it is kept in data/: splines in whole numbers of 1/`splineScale`. */
export type GliTable = {
  readonly version: string
  readonly ages: { readonly from: number; readonly step: number; readonly count: number }
  readonly splineScale: number
  readonly coefficients: Readonly<Record<Sex, Readonly<Record<GliParameter, Coefficients>>>>
  readonly splines: Readonly<Record<Sex, Readonly<Record<GliParameter, Splines>>>>
}

/** A GLI system from its look-up table. Equations: Quanjer 2012 and Bowerman 2023, M, S and L by age and height. */
export function gliSystem(
  name: ReferenceSystem['name'],
  table: GliTable,
  groups: readonly string[],
  source: Source,
): ReferenceSystem {
  const { from, step, count } = table.ages
  const ages: Range = { low: from, high: from + step * (count - 1), unit: 'a' }
  return {
    name,
    version: table.version,
    groups,
    ages,
    unitOf: (parameter) => (isGli(parameter) ? GLI_UNITS[parameter] : null),
    predict: (person, parameter, group) => {
      requireWithin('ageYears', person.ageYears, ages)
      requireBody(person)
      if (!isGli(parameter)) throw new BadInput('parameter', parameter, Object.keys(GLI_UNITS).join(', '))
      const chosen = chooseGroup(groups, group)
      return { group: chosen, ...prediction(lmsFor(table, person, parameter, chosen), source) }
    },
  }
}

function isGli(parameter: Parameter): parameter is GliParameter {
  return parameter in GLI_UNITS
}

type WorkedLms = { readonly lms: Lms; readonly steps: readonly string[] }

function lmsFor(table: GliTable, person: Person, parameter: GliParameter, group: string): WorkedLms {
  const coefficients = table.coefficients[person.sex][parameter]
  const splines = table.splines[person.sex][parameter]
  const [m0 = 0, mHeight = 0, mAge = 0] = coefficients.m
  const [s0 = 0, sAge = 0] = coefficients.s
  const [l0 = 0, lAge = 0] = coefficients.l
  const groupM = coefficients.groupM?.[group] ?? 0
  const groupS = coefficients.groupS?.[group] ?? 0
  const at = (values: readonly number[] | undefined) => splineAt(table, values, person.ageYears)
  const [mSpline, sSpline, lSpline] = [at(splines.m), at(splines.s), at(splines.l)]
  const lnAge = Math.log(person.ageYears)
  const lms = {
    m: Math.exp(m0 + mHeight * Math.log(person.heightCm) + mAge * lnAge + groupM + mSpline),
    s: Math.exp(s0 + sAge * lnAge + groupS + sSpline),
    l: l0 + lAge * lnAge + lSpline,
  }
  const [height, age] = [`ln ${person.heightCm}`, `ln ${person.ageYears}`]
  const spline = (value: number): readonly [number, string] => [Number(value.toFixed(6)), '']
  const steps = [
    `M = exp(${sumShown([[m0, ''], [mHeight, height], [mAge, age], [groupM, ''], spline(mSpline)])}) = ${shown(lms.m, 4)}`,
    `S = exp(${sumShown([[s0, ''], [sAge, age], [groupS, ''], spline(sSpline)])}) = ${shown(lms.s, 5)}`,
    `L = ${sumShown([[l0, ''], [lAge, age], spline(lSpline)])} = ${shown(lms.l, 4)}`,
  ]
  return { lms, steps }
}

/** Linear between quarter years, as GLI advises; public codes that take the nearest quarter differ by up to 0.44 % in M. */
function splineAt(table: GliTable, values: readonly number[] | undefined, ageYears: number): number {
  if (!values) return 0
  const position = (ageYears - table.ages.from) / table.ages.step
  const left = Math.floor(position)
  const before = values[left] ?? Number.NaN
  const after = values[left + 1] ?? before // the last age has no right neighbor, and needs none
  return (before + (after - before) * (position - left)) / table.splineScale
}

function prediction({ lms, steps }: WorkedLms, source: Source): Omit<Prediction, 'group'> {
  const lowerLimit = lmsValue(lms, LOWER_LIMIT_Z)
  const { l, m, s } = { l: shown(lms.l, 4), m: shown(lms.m, 4), s: shown(lms.s, 5) }
  return {
    predicted: lms.m,
    lowerLimit,
    z: (measured) => lmsZ(lms, measured),
    zKind: 'LMS',
    extrapolated: false,
    cautions: [],
    sources: [source],
    steps: {
      predicted: steps,
      lowerLimit: [
        ...steps,
        `lower limit = ${m} × (1 − 1.645 × ${l} × ${s})^(1 ÷ ${l}) = ${shown(lowerLimit, 4)}`,
      ],
      z: (measured) => [
        ...steps,
        `z = ((${measured} ÷ ${m})^${l} − 1) ÷ (${l} × ${s}) = ${shown(lmsZ(lms, measured), 3)}`,
      ],
    },
  }
}
