import { OutsideValidity, type Range } from '../worked.ts'
import data from './data/nhanes3-1999.json' with { type: 'json' }
import { LOWER_LIMIT_Z } from './lms.ts'
import { type Person, requireBody } from './person.ts'
import {
  chooseGroup,
  type Parameter,
  type Prediction,
  type ReferenceSystem,
  type Unit,
} from './reference-system.ts'
import { shown, sumShown } from './shown.ts'
import { LUNG_SOURCES } from './sources.ts'

const UNITS: Readonly<Record<Parameter, Unit>> = {
  FEV1: 'L',
  FVC: 'L',
  FEV6: 'L',
  FEV1FVC: '%',
  FEV1FEV6: '%',
  PEF: 'L/s',
  FEF2575: 'L/s',
}
type Group = keyof typeof data.equations
const GROUPS = Object.keys(data.equations) as readonly Group[]

/** Fitted from the 8th birthday to the end of the 81st year of life; a US regulation prints the equation for 81 as well. */
const FITTED_BELOW_YEARS = 81
const ACCEPTED_BELOW_YEARS = 82
const AGES: Range = { low: 8, high: ACCEPTED_BELOW_YEARS - 1, unit: 'a (completed years)' }

type Line = { readonly predicted: number; readonly lowerLimit: number; readonly steps: [string, string] }
type Row = readonly number[]

/**
 * NHANES III (Hankinson 1999), three groups, ages 8 to 80; at 81 the result is marked as extrapolated. The adult
 * equation starts at 20 in men and at 18 in women (the paper's Tables 4 and 5), which two of three public codes miss.
 */
export const NHANES3_1999: ReferenceSystem = {
  name: 'NHANES3_1999',
  version: data.version,
  groups: GROUPS,
  ages: AGES,
  unitOf: (parameter) => UNITS[parameter],
  predict: (person, parameter, group) => {
    const covered = person.ageYears >= AGES.low && person.ageYears < ACCEPTED_BELOW_YEARS // false for NaN too
    if (!covered) throw new OutsideValidity('ageYears', person.ageYears, AGES)
    requireBody(person)
    const chosen = chooseGroup(GROUPS, group)
    const heights = measuredHeights(person, chosen)
    const line = lineFor(person, parameter, chosen)
    if (!(line.predicted > 0)) throw new OutsideValidity('heightCm', person.heightCm, heights)
    return prediction(person, chosen, heights, line)
  },
}

function lineFor(person: Person, parameter: Parameter, group: Group): Line {
  if (parameter === 'FEV1FVC' || parameter === 'FEV1FEV6') {
    return ratioLine(data.ratios[group][person.sex][parameter], person.ageYears)
  }
  return volumeLine(rowAt(data.equations[group][person.sex][parameter], person.ageYears), person)
}

/** Rows start with the age from which, and the age below which, they hold; the last one also serves beyond. */
function rowAt(rows: readonly Row[], ageYears: number): Row {
  return rows.find(([from = 0, below = 0]) => ageYears >= from && ageYears < below) ?? rows.at(-1) ?? []
}

/** P = b0 + b1·age + b2·age² + b3·height², the lower limit with a height factor of its own. */
function volumeLine(row: Row, { ageYears, heightCm }: Person): Line {
  const [, , b0 = 0, bAge = 0, bAge2 = 0, bHeight2 = 0, bHeight2Lower = 0] = row
  const base = b0 + bAge * ageYears + bAge2 * ageYears ** 2
  const predicted = base + bHeight2 * heightCm ** 2
  const lowerLimit = base + bHeight2Lower * heightCm ** 2
  const written = (factor: number) =>
    sumShown([
      [b0, ''],
      [bAge, `${ageYears}`],
      [bAge2, `${ageYears}²`],
      [factor, `${heightCm}²`],
    ])
  return {
    predicted,
    lowerLimit,
    steps: [
      `predicted = ${written(bHeight2)} = ${shown(predicted, 4)}`,
      `lower limit = ${written(bHeight2Lower)} = ${shown(lowerLimit, 4)}`,
    ],
  }
}

/** P = b0 + b1·age in percent, the lower limit with an intercept of its own. */
function ratioLine([b0 = 0, bAge = 0, b0Lower = 0]: Row, ageYears: number): Line {
  const predicted = b0 + bAge * ageYears
  const lowerLimit = b0Lower + bAge * ageYears
  const written = (start: number) =>
    sumShown([
      [start, ''],
      [bAge, `${ageYears}`],
    ])
  return {
    predicted,
    lowerLimit,
    steps: [
      `predicted = ${written(b0)} = ${shown(predicted, 3)} %`,
      `lower limit = ${written(b0Lower)} = ${shown(lowerLimit, 3)} %`,
    ],
  }
}

function prediction(person: Person, group: Group, heights: Range, line: Line): Prediction {
  const { predicted, lowerLimit, steps } = line
  const extrapolated = person.ageYears >= FITTED_BELOW_YEARS
  const z = (measured: number) => (measured - predicted) / ((predicted - lowerLimit) / -LOWER_LIMIT_Z)
  const sources = [LUNG_SOURCES.NHANES3_1999]
  const inside = person.heightCm >= heights.low && person.heightCm <= heights.high
  return {
    group,
    predicted,
    lowerLimit,
    z,
    zKind: 'derived',
    extrapolated,
    cautions: [
      ...(extrapolated ? [EXTRAPOLATED] : []),
      ...(inside ? [] : [unmeasuredHeight(person.heightCm, heights)]),
      ...(lowerLimit > 0 ? [] : [LIMIT_BELOW_ZERO]),
    ],
    sources: extrapolated ? [...sources, LUNG_SOURCES.CFR_28_79] : sources,
    steps: {
      predicted: [steps[0]],
      lowerLimit: [steps[1]],
      z: (measured) => [
        ...steps,
        `derived z = (${measured} − ${shown(predicted, 4)}) ÷ ((${shown(predicted, 4)} − ${shown(lowerLimit, 4)}) ÷ 1.645) = ${shown(z(measured), 3)}`,
      ],
    },
  }
}

const EXTRAPOLATED = 'Extrapolated: the equations were fitted to 80 years.'
const LIMIT_BELOW_ZERO = 'The equation puts the lower limit at or below zero: no value can fall below it.'

function unmeasuredHeight(heightCm: number, { low, high }: Range): string {
  return `Height ${heightCm} cm lies outside the ${low} to ${high} cm that were measured for this sex, age and group.`
}

/** Heights measured in the survey: a warning range, except where the equation gives nothing that could be a value. */
function measuredHeights({ sex, ageYears }: Person, group: Group): Range {
  const rows: readonly Row[] = data.heights[group][sex]
  const row = rows.find(([, ageTo = 0]) => Math.floor(ageYears) <= ageTo) ?? rows.at(-1) ?? []
  const [, , low = 0, high = 0] = row
  return { low, high, unit: 'cm' }
}
